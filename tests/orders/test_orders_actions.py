"""The verbs of the order book: taken once, changed with a trace, moved as the table says."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest

from orders.actions import (
    LineWish,
    OrderRefusal,
    add_line,
    change_line,
    change_terms,
    move_by_hand,
    move_order,
    promise_date,
    remove_line,
    save_customer,
    take_order,
)
from orders.models import Customer, Order, OrderLine
from orders.order_states import MOVES, OrderState
from soapshop.models import AuditEvent
from tests.orders.builders import NEEDED_BY, make_customer, make_design, make_order

BY_HAND = {
    (OrderState.ENQUIRY, OrderState.QUOTED),
    (OrderState.QUOTED, OrderState.ACCEPTED),
    (OrderState.HANDED_OVER, OrderState.CLOSED),
    (OrderState.ENQUIRY, OrderState.CANCELLED),
    (OrderState.QUOTED, OrderState.CANCELLED),
    (OrderState.ACCEPTED, OrderState.CANCELLED),
}
EVERY_MOVE = [(current, target) for current in OrderState for target in OrderState]


@pytest.fixture
def design(owner):
    return make_design(owner)


def test_one_form_sent_twice_takes_one_order_and_one_new_customer(owner, design):
    once = uuid4()
    told = {"terms": {"needed_by": NEEDED_BY}, "lines": [LineWish(design, 12)], "by": owner, "typed_once": once}
    orders = [take_order(customer=Customer(name="Mara Velden"), **told) for _ in range(2)]
    assert orders[0] == orders[1]
    assert (Order.objects.count(), Customer.objects.count()) == (1, 1)


def test_two_forms_take_two_orders(owner, design):
    for _ in range(2):
        take_order(
            customer=Customer(name="Mara Velden"),
            terms={"needed_by": NEEDED_BY},
            lines=[LineWish(design, 12)],
            by=owner,
            typed_once=uuid4(),
        )
    assert list(Order.objects.order_by("pk").values_list("number", flat=True)) == ["1001", "1002"]


def test_an_order_that_is_refused_leaves_no_customer_behind(owner, design):
    with pytest.raises(OrderRefusal):
        take_order(customer=Customer(name="Mara Velden"), terms={"needed_by": NEEDED_BY}, lines=[], by=owner)
    assert not Customer.objects.exists()


def test_a_customer_form_sent_twice_keeps_one_customer(owner):
    once = uuid4()
    for _ in range(2):
        save_customer(customer=Customer(name="Mara", typed_once=once), avoid_materials=(), by=owner, is_new=True)
    assert Customer.objects.count() == 1


def test_a_changed_customer_keeps_what_was_there_before_in_the_trail(owner):
    mara = make_customer(owner)
    mara.phone = "555 0100"
    save_customer(customer=mara, avoid_materials=(), by=owner)
    event = AuditEvent.objects.get(verb="change_customer")
    assert (event.before, event.after) == ({"phone": ""}, {"phone": "555 0100"})
    save_customer(customer=mara, avoid_materials=(), by=owner)
    assert AuditEvent.objects.filter(verb="change_customer").count() == 1


def test_parts_on_every_bar_are_added_unless_parts_are_named(owner, design):
    order = make_order(owner, design, 12)
    assert [(str(each.part), each.bars) for each in order.lines.get().finishes.all()] == [("Seal", 12)]
    plain = make_order(owner, design, 12, parts={})
    assert not plain.lines.get().finishes.exists()


@pytest.mark.parametrize(
    "parts",
    (
        pytest.param({"seal": 13}, id="more seals than bars"),
        pytest.param({"shell": 8, "star": 5}, id="two toppers on one bar"),
    ),
)
def test_parts_that_do_not_fit_the_bars_are_refused(owner, design, parts):
    with pytest.raises(OrderRefusal):
        make_order(owner, design, 12, parts=parts)
    assert not Order.objects.exists()


def test_parts_of_one_kind_that_fit_are_taken(owner, design):
    order = make_order(owner, design, 12, parts={"shell": 8, "star": 4, "seal": 12})
    assert sum(each.bars for each in order.lines.get().finishes.all()) == 24


def test_a_part_the_design_does_not_carry_is_refused(owner, design):
    with pytest.raises(OrderRefusal):
        add_line(order_id=make_order(owner, design, 12).pk, wish=LineWish(design, 5, part_bars={999: 5}), by=owner)


def test_a_line_form_sent_twice_adds_one_line(owner, design):
    order, once = make_order(owner, design, 12), uuid4()
    for _ in range(2):
        add_line(order_id=order.pk, wish=LineWish(design, 5), by=owner, typed_once=once)
    assert [line.bars for line in order.lines.all()] == [12, 5]


def test_a_change_says_what_was_and_what_is(owner, design):
    order = make_order(owner, design, 12)
    line = order.lines.get()
    wish = LineWish(design, 15, wording="Ada", price_per_bar=Decimal("6.50"), part_bars={})
    change_line(line_id=line.pk, wish=wish, by=owner)
    assert order.events.first().text == (
        "Moor: bars 12 → 15; personal wording nothing → Ada; price per bar nothing → 6.50; parts Seal on 12 → none."
    )
    assert OrderLine.objects.get(pk=line.pk).frozen_design["bars"] == 15


def test_a_change_that_changes_nothing_leaves_no_trace(owner, design):
    order = make_order(owner, design, 12)
    line, count = order.lines.get(), order.events.count()
    parts = {each.part_id: each.bars for each in line.finishes.all()}
    change_line(line_id=line.pk, wish=LineWish(design, 12, part_bars=parts), by=owner)
    change_terms(order_id=order.pk, terms={"needed_by": NEEDED_BY}, by=owner)
    assert order.events.count() == count


def test_what_another_tab_has_changed_is_not_written_over(owner, design):
    order = make_order(owner, design, 12)
    seen = order.saves
    change_terms(order_id=order.pk, terms={"note": "Blue ribbon"}, by=owner, seen_saves=seen)
    with pytest.raises(OrderRefusal):
        change_terms(order_id=order.pk, terms={"note": "Red ribbon"}, by=owner, seen_saves=seen)
    with pytest.raises(OrderRefusal):
        change_line(line_id=order.lines.get().pk, wish=LineWish(design, 15), by=owner, seen_saves=seen)
    order.refresh_from_db()
    assert order.note == "Blue ribbon"


def test_the_only_line_stays_and_another_may_go(owner, design):
    order = make_order(owner, design, 12)
    with pytest.raises(OrderRefusal):
        remove_line(line_id=order.lines.get().pk, by=owner)
    second = add_line(order_id=order.pk, wish=LineWish(design, 5), by=owner)
    remove_line(line_id=second.pk, by=owner)
    with pytest.raises(OrderRefusal):
        remove_line(line_id=second.pk, by=owner)
    assert order.lines.count() == 1


@pytest.mark.parametrize("state", [OrderState.READY, OrderState.PACKED, OrderState.HANDED_OVER, OrderState.CANCELLED])
def test_an_order_past_the_bench_no_longer_changes(owner, design, state):
    order = make_order(owner, design, 12)
    Order.objects.filter(pk=order.pk).update(status=state.value)
    with pytest.raises(OrderRefusal):
        change_terms(order_id=order.pk, terms={"note": "Blue"}, by=owner)
    with pytest.raises(OrderRefusal):
        add_line(order_id=order.pk, wish=LineWish(design, 5), by=owner)


def test_a_promise_noted_twice_is_noted_once(owner, design):
    order = make_order(owner, design, 12)
    for _ in range(2):
        promise_date(order_id=order.pk, day=date(2026, 8, 1), by=owner)
    assert order.events.filter(text="Promised for Aug 1, 2026.").count() == 1


@pytest.mark.parametrize("year", [1, 1999, 2101, 9999])
def test_a_year_that_cannot_be_right_is_refused(owner, design, year):
    order = make_order(owner, design, 12)
    with pytest.raises(OrderRefusal) as refusal:
        change_terms(order_id=order.pk, terms={"needed_by": date(year, 1, 1)}, by=owner)
    assert str(refusal.value) == f"The year {year} cannot be right. Check the day."


@pytest.mark.parametrize(("current", "target"), [pair for pair in EVERY_MOVE if pair[1] not in MOVES[pair[0]]])
def test_rule_g12_a_move_that_is_not_drawn_is_refused(owner, design, current, target):
    order = make_order(owner, design, 12)
    Order.objects.filter(pk=order.pk).update(status=current.value)
    with pytest.raises(OrderRefusal):
        move_order(order_id=order.pk, to=target, by=owner, reason="Because")
    order.refresh_from_db()
    assert order.state == current


@pytest.mark.parametrize(("current", "target"), EVERY_MOVE)
def test_rule_g12_only_what_a_person_decides_is_moved_by_hand(owner, design, current, target):
    order = make_order(owner, design, 12)
    Order.objects.filter(pk=order.pk).update(status=current.value)
    if (current, target) in BY_HAND:
        assert move_by_hand(order_id=order.pk, to=target, by=owner, reason="Because").state == target
        return
    with pytest.raises(OrderRefusal):
        move_by_hand(order_id=order.pk, to=target, by=owner, reason="Because")


def test_cancelling_needs_its_words(owner, design):
    order = make_order(owner, design, 12)
    with pytest.raises(OrderRefusal):
        move_by_hand(order_id=order.pk, to=OrderState.CANCELLED, by=owner, reason=" ")


def test_accepting_freezes_the_design(owner, design):
    order = make_order(owner, design, 12, state=OrderState.QUOTED)
    assert order.lines.get().frozen_design is None
    move_order(order_id=order.pk, to=OrderState.ACCEPTED, by=owner)
    frozen = order.lines.get().frozen_design
    assert (frozen["design"], frozen["bars"], frozen["parts"]) == ("Moor", 12, [{"part": "Seal", "bars": 12}])
