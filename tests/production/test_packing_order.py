"""Bars to orders: due first, oldest released first, the finish must match, never more than there are."""

import threading
import time
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import OperationalError, connection

from orders.actions import OrderRefusal
from orders.models import Order, OrderLine
from orders.money.actions import record_payment
from orders.order_states import OrderState
from production.batches.actions.after_pour import hold_batch
from production.cure.actions.packing import hand_over, pack_order
from production.cure.actions.reserving import allocate_bars, give_back
from production.cure.models import BarMove, Release
from production.cure.order_bars import bars_of_orders, for_bars
from production.cure.refusal import CureRefusal
from tests.production.cure_builders import (
    POUR_DAY,
    READY_DAY,
    make_cut,
    make_design,
    make_order,
    make_released,
    places,
)

NEEDED = date(2026, 5, 20)


@pytest.fixture
def design(owner, workshop):
    return make_design(owner)


def lots(order):
    """(batch, finish, bars) that lie with an order."""
    bars = bars_of_orders(for_bars(Order.objects.filter(pk=order.pk)))[order.pk]
    return [(lot.batch_number, lot.finish, lot.bars) for need in bars.needs for lot in need.lots]


def state(order):
    return Order.objects.get(pk=order.pk).state


def allocate(order, by, **more):
    return allocate_bars(order_id=order.pk, today=READY_DAY, by=by, **more)


def test_the_whole_way_from_the_shelf_to_the_customer(design, owner, maker):
    order = make_order(design, 8, needed_by=NEEDED, by=owner, parts={"seal": 3})
    batch = make_released(make_cut(order, by=owner, bars={"seal": 4, "plain": 7}), by=owner)
    allocate(order, maker)
    assert lots(order) == [(batch.number, "seal", 3), (batch.number, "plain", 5)]
    assert state(order) == OrderState.READY
    assert places(batch) == {
        "plain": {"reserved": 5, "released": 2, "spoiled": 1},
        "seal": {"reserved": 3, "released": 1},
    }
    pack_order(order_id=order.pk, by=maker)
    assert (state(order), places(batch)["seal"]) == (OrderState.PACKED, {"packed": 3, "released": 1})
    hand_over(order_id=order.pk, by=maker)
    assert state(order) == OrderState.HANDED_OVER
    assert places(batch) == {
        "plain": {"shipped": 5, "released": 2, "spoiled": 1},
        "seal": {"shipped": 3, "released": 1},
    }
    assert {move.line_id for move in BarMove.objects.filter(to_state="shipped")} == {order.lines.get().pk}


def test_every_verb_the_second_time_says_that_nothing_changed(design, owner):
    order = make_order(design, 8, needed_by=NEEDED, by=owner)
    batch = make_released(make_cut(order, by=owner), by=owner)
    for verb in (
        lambda: allocate(order, owner),
        lambda: pack_order(order_id=order.pk, by=owner),
        lambda: hand_over(order_id=order.pk, by=owner),
    ):
        verb()
        before = places(batch)
        with pytest.raises(CureRefusal):
            verb()
        assert places(batch) == before


def test_oldest_released_first(design, owner):
    first = make_order(design, 12, needed_by=NEEDED, by=owner)
    old = make_cut(first, by=owner, bars={"plain": 11})
    young_order = make_order(design, 12, needed_by=NEEDED, by=owner)
    young = make_cut(young_order, by=owner, poured_on=POUR_DAY, bars={"plain": 11})
    make_released(young, by=owner)
    make_released(old, by=owner)
    day = Release.objects.get(batch=old).at - timedelta(days=3)
    Release.objects.filter(batch=old).update(at=day)
    small = make_order(design, 5, needed_by=NEEDED - timedelta(days=30), by=owner)
    allocate(small, owner)
    assert lots(small) == [(old.number, "plain", 5)]


def test_due_first_leaves_bars_to_the_order_that_needs_them_sooner(design, owner):
    later = make_order(design, 8, needed_by=NEEDED, by=owner)
    batch = make_released(make_cut(later, by=owner, bars={"plain": 11}), by=owner)
    sooner = make_order(design, 9, needed_by=NEEDED - timedelta(days=7), by=owner)
    allocate(later, owner)
    assert lots(later) == [(batch.number, "plain", 2)]
    assert state(later) == OrderState.IN_PRODUCTION
    with pytest.raises(CureRefusal) as refusal:
        allocate(later, owner)
    assert str(refusal.value) == (
        "9 bars of this kind are free, but an order due earlier still needs them. "
        "Reserve for that order first, or say why this one goes out of turn."
    )
    allocate(later, owner, out_of_turn="they fetch it today")
    assert sum(bars for _, _, bars in lots(later)) == 8
    assert BarMove.objects.order_by("-pk").first().note == "Out of turn: they fetch it today"
    allocate(sooner, owner)
    assert lots(sooner) == [(batch.number, "plain", 3)]
    assert places(batch) == {"plain": {"reserved": 11, "spoiled": 1}}


def test_the_finish_must_match(design, owner):
    order = make_order(design, 6, needed_by=NEEDED, by=owner, parts={"seal": 6})
    make_released(make_cut(order, by=owner, bars={"plain": 11}), by=owner)
    with pytest.raises(CureRefusal) as refusal:
        allocate(order, owner)
    assert str(refusal.value) == "No released bars are free: Dune, Seal. Release a batch, or plan one."


def test_bars_in_cure_are_never_reserved(design, owner):
    order = make_order(design, 6, needed_by=NEEDED, by=owner)
    make_cut(order, by=owner)
    with pytest.raises(CureRefusal):
        allocate(order, owner)
    assert lots(order) == []


def test_an_order_filled_from_the_shelf_walks_to_ready(design, owner):
    make_released(make_cut(make_order(design, 2, needed_by=NEEDED, by=owner), by=owner), by=owner)
    order = make_order(design, 4, needed_by=NEEDED - timedelta(days=9), by=owner)
    assert state(order) == OrderState.ACCEPTED
    allocate(order, owner)
    assert state(order) == OrderState.READY


def test_an_order_with_missing_bars_is_neither_packed_nor_handed_over(design, owner):
    order = make_order(design, 12, needed_by=NEEDED, by=owner)
    make_released(make_cut(order, by=owner, bars={"plain": 11}), by=owner)
    allocate(order, owner)
    for verb in (pack_order, hand_over):
        with pytest.raises(CureRefusal) as refusal:
            verb(order_id=order.pk, by=owner)
        assert str(refusal.value) == (
            f"{order} is not complete: 1 plain of Dune missing. "
            "Reserve them first, or say that the rest follows in another parcel."
        )


def test_bars_are_given_back_and_the_order_is_at_risk(design, owner):
    order = make_order(design, 8, needed_by=NEEDED, by=owner)
    batch = make_released(make_cut(order, by=owner), by=owner)
    allocate(order, owner)
    pack_order(order_id=order.pk, by=owner)
    back = {
        "order_id": order.pk,
        "line_id": order.lines.get().pk,
        "batch_id": batch.pk,
        "finish": "plain",
        "reason": "one has a dent",
        "by": owner,
    }
    with pytest.raises(CureRefusal) as refusal:
        give_back(bars=9, **back)
    assert str(refusal.value) == "8 of these bars lie with this order. Give back from 1 to 8."
    give_back(bars=1, **back)
    assert places(batch) == {"plain": {"packed": 7, "released": 4, "spoiled": 1}}
    risky = Order.objects.get(pk=order.pk)
    assert (risky.is_at_risk, risky.risk_text) == (True, "1 bar given back and not replaced yet.")
    allocate(order, owner)
    pack_order(order_id=order.pk, by=owner)
    whole = Order.objects.get(pk=order.pk)
    assert (whole.is_at_risk, whole.state) == (False, OrderState.PACKED)
    assert places(batch) == {"plain": {"packed": 8, "released": 3, "spoiled": 1}}


def test_a_hold_takes_packed_bars_out_of_the_order_and_says_so(design, owner):
    order = make_order(design, 8, needed_by=NEEDED, by=owner)
    batch = make_released(make_cut(order, by=owner), by=owner)
    allocate(order, owner)
    pack_order(order_id=order.pk, by=owner)
    hold_batch(batch_id=batch.pk, reason="supplier recalls the oil", by=owner)
    assert places(batch) == {"plain": {"held": 11, "spoiled": 1}}
    assert lots(order) == []
    risky = Order.objects.get(pk=order.pk)
    assert risky.risk_text == f"{batch} is on hold: 8 bars kept for this order are missing."
    with pytest.raises(CureRefusal):
        hand_over(order_id=order.pk, by=owner)


def test_a_hold_leaves_what_was_handed_over(design, owner):
    order = make_order(design, 8, needed_by=NEEDED, by=owner)
    batch = make_released(make_cut(order, by=owner), by=owner)
    allocate(order, owner)
    pack_order(order_id=order.pk, by=owner)
    hand_over(order_id=order.pk, by=owner)
    hold_batch(batch_id=batch.pk, reason="supplier recalls the oil", by=owner)
    assert places(batch) == {"plain": {"shipped": 8, "held": 3, "spoiled": 1}}


def patiently(act):
    """Try again while the other one writes: a test database in memory refuses at once where a file or server waits."""
    until = time.monotonic() + 30
    while True:
        try:
            return act()
        except OperationalError as fault:
            if "locked" not in str(fault) or time.monotonic() > until:
                raise


@pytest.mark.django_db(transaction=True)
def test_two_people_taking_the_same_bars_get_exactly_what_is_there(design, owner, maker):
    """11 bars, two orders of 8: together they get 11 and nobody gets one twice."""
    orders = [make_order(design, 8, needed_by=NEEDED, by=owner) for _ in range(2)]
    batch = make_released(make_cut(orders[0], by=owner, bars={"plain": 11}), by=owner)
    start, faults = threading.Barrier(2, timeout=20), []

    def take(order, by):
        try:
            start.wait()
            patiently(lambda: allocate(order, by, out_of_turn="both at once"))
        except CureRefusal as fault:
            faults.append(fault)
        finally:
            connection.close()

    people = [threading.Thread(target=take, args=pair) for pair in zip(orders, (owner, maker), strict=True)]
    for person in people:
        person.start()
    for person in people:
        person.join(timeout=40)
    assert faults == []
    assert sorted(sum(bars for _, _, bars in lots(order)) for order in orders) == [3, 8]
    assert places(batch) == {"plain": {"reserved": 11, "spoiled": 1}}


@pytest.mark.django_db(transaction=True)
def test_one_order_allocated_by_two_people_at_once_is_served_once(design, owner, maker):
    order = make_order(design, 8, needed_by=NEEDED, by=owner)
    batch = make_released(make_cut(order, by=owner), by=owner)
    start, refusals = threading.Barrier(2, timeout=20), []

    def take(by):
        try:
            start.wait()
            patiently(lambda: allocate(order, by))
        except CureRefusal as refusal:
            refusals.append(str(refusal))
        finally:
            connection.close()

    people = [threading.Thread(target=take, args=(by,)) for by in (owner, maker)]
    for person in people:
        person.start()
    for person in people:
        person.join(timeout=40)
    assert refusals == [f"{order} has all its bars already. Nothing was changed."]
    assert places(batch) == {"plain": {"reserved": 8, "released": 3, "spoiled": 1}}


def test_bars_stay_until_all_is_paid_or_an_owner_says_why(design, owner, maker):
    order = make_order(design, 4, needed_by=NEEDED, by=owner)
    OrderLine.objects.filter(order=order).update(price_per_bar=Decimal("7.90"))
    make_released(make_cut(order, by=owner, bars={"plain": 5}), by=owner)
    allocate(order, maker)
    pack_order(order_id=order.pk, by=maker)
    for words, sentence in (
        ("", r"\$31\.60 is still to be paid\. Write the payment down under Money"),
        ("A good customer", "only an owner lets bars go unpaid"),
    ):
        with pytest.raises(OrderRefusal, match=sentence):
            hand_over(order_id=order.pk, by=maker, on=NEEDED, unpaid_reason=words)
    assert state(order) == OrderState.PACKED
    hand_over(order_id=order.pk, by=owner, on=NEEDED, unpaid_reason="Pays by the month")
    assert state(order) == OrderState.HANDED_OVER
    assert order.events.get(text__contains="Unpaid").text.endswith(" Unpaid, $31.60: Pays by the month.")


def test_a_paid_order_is_handed_over_by_anybody(design, owner, maker):
    order = make_order(design, 4, needed_by=NEEDED, by=owner)
    OrderLine.objects.filter(order=order).update(price_per_bar=Decimal("7.90"))
    make_released(make_cut(order, by=owner, bars={"plain": 5}), by=owner)
    allocate(order, maker)
    pack_order(order_id=order.pk, by=maker)
    told = {"kind": "payment", "on": READY_DAY, "amount": Decimal("31.60"), "way": "cash"}
    record_payment(order_id=order.pk, by=maker, today=NEEDED, **told)
    hand_over(order_id=order.pk, by=maker, on=NEEDED)
    assert state(order) == OrderState.HANDED_OVER
