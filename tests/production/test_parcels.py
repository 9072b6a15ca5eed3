"""Orders that leave in parts, bars that come back, and swaps between orders. Counts worked by hand."""

from datetime import date
from uuid import uuid4

import pytest

from orders.models import Order
from orders.order_states import OrderState
from production.bar_ledger import BarState
from production.batches.actions.after_pour import clear_hold, hold_batch
from production.cure.actions.bars import set_bars_aside
from production.cure.actions.judging import let_seconds_go, put_back_bars, return_bars
from production.cure.actions.packing import hand_over, pack_order
from production.cure.actions.reserving import allocate_bars, give_back
from production.cure.actions.swapping import swap_bars
from production.cure.models import BarMove, Parcel
from production.cure.order_bars import bars_of_orders, for_bars
from production.cure.refusal import CureRefusal
from production.cure.slips import slip_of
from tests.production.cure_builders import READY_DAY, make_cut, make_design, make_order, make_released, places

NEEDED = date(2026, 5, 20)


@pytest.fixture
def design(owner, workshop):
    return make_design(owner)


@pytest.fixture
def order(design, owner):
    return make_order(design, 8, needed_by=NEEDED, by=owner)


@pytest.fixture
def batch(order, owner):
    """Eleven bars on the shelf, eight of them reserved for the order."""
    made = make_released(make_cut(order, by=owner), by=owner)
    allocate_bars(order_id=order.pk, today=READY_DAY, by=owner)
    return made


def state(order):
    return Order.objects.get(pk=order.pk).state


def bars_of(order):
    return bars_of_orders(for_bars(Order.objects.filter(pk=order.pk)))[order.pk]


def pack(order, by, *, bars=None, **more):
    lots = [lot for need in bars_of(order).needs for lot in need.lots]
    picked = None if bars is None else {(lots[0].line_id, lots[0].batch_id, "plain"): bars}
    return pack_order(order_id=order.pk, by=by, on=READY_DAY, picked=picked, **more)


def test_an_order_leaves_in_two_parcels_each_with_its_own_record(order, batch, owner, maker):
    pack(order, maker, bars=5, is_part=True)
    assert state(order) == OrderState.READY
    hand_over(order_id=order.pk, by=maker, on=READY_DAY)
    assert state(order) == OrderState.READY
    assert (bars_of(order).shipped, bars_of(order).reserved) == (5, 3)
    assert places(batch) == {"plain": {"shipped": 5, "reserved": 3, "released": 3, "spoiled": 1}}
    pack(order, owner)
    hand_over(order_id=order.pk, by=owner, on=READY_DAY)
    assert state(order) == OrderState.HANDED_OVER
    first, second = Parcel.objects.order_by("position")
    assert (first.packed_by, first.is_part, slip_of(first).bars, slip_of(first).rest_bars) == (maker, True, 5, 3)
    assert (second.packed_by, second.is_part, slip_of(second).bars, slip_of(second).rest_bars) == (owner, False, 3, 0)
    assert slip_of(second).bars_before == 5
    assert [event.text for event in order.events.order_by("pk") if "parcel" in event.text] == [
        f"Packed parcel 1: 5 of {batch.number}. Still to come: 3 bars.",
        f"Picked up, parcel 1: 5 of {batch.number}. Still to come: 3 bars.",
        f"Packed parcel 2: 3 of {batch.number}.",
        f"Picked up, parcel 2: 3 of {batch.number}.",
    ]


def test_the_rest_stays_behind_only_when_it_is_said(order, batch, owner):
    with pytest.raises(CureRefusal) as refusal:
        pack(order, owner, bars=5)
    assert str(refusal.value) == (
        "3 bars that are reserved would stay here. Tick them too, or say that the rest follows in another parcel."
    )
    assert places(batch)["plain"]["reserved"] == 8
    pack(order, owner)
    assert Parcel.objects.get().is_part is False


@pytest.mark.parametrize(("bars", "words"), ((9, "8 bars of"), (0, "Nothing is ticked"), (-1, "8 bars of")))
def test_more_than_is_reserved_or_nothing_is_not_packed(order, batch, owner, bars, words):
    with pytest.raises(CureRefusal) as refusal:
        pack(order, owner, bars=bars, is_part=True)
    assert words in str(refusal.value)
    assert not Parcel.objects.exists()


def test_one_form_makes_one_parcel(order, batch, owner):
    once = uuid4()
    for _ in range(2):
        pack(order, owner, bars=3, is_part=True, typed_once=once)
    assert Parcel.objects.count() == 1
    assert bars_of(order).packed == 3


def test_one_of_two_parcels_leaves(order, batch, owner):
    pack(order, owner, bars=5, is_part=True)
    pack(order, owner)
    assert state(order) == OrderState.PACKED
    hand_over(order_id=order.pk, by=owner, parcel_id=Parcel.objects.get(position=1).pk)
    assert (state(order), bars_of(order).shipped, bars_of(order).packed) == (OrderState.PACKED, 5, 3)
    hand_over(order_id=order.pk, by=owner)
    assert state(order) == OrderState.HANDED_OVER


def test_a_slip_stays_as_it_left_the_house(order, batch, owner):
    pack(order, owner)
    hand_over(order_id=order.pk, by=owner)
    parcel = Parcel.objects.get()
    before = slip_of(parcel)
    return_bars(order_id=order.pk, line_id=order.lines.get().pk, batch_id=batch.pk, finish="plain", bars=2,
                reason="dented", by=owner)  # fmt: skip
    order.customer.name = "Somebody Else"
    order.customer.save()
    assert slip_of(Parcel.objects.get()) == before


def test_unpacking_takes_from_the_newest_parcel(order, batch, owner):
    pack(order, owner, bars=5, is_part=True)
    pack(order, owner)
    line = order.lines.get().pk
    give_back(order_id=order.pk, line_id=line, batch_id=batch.pk, finish="plain", bars=4, reason="dented", by=owner)
    first, second = Parcel.objects.order_by("position")
    assert (slip_of(first).bars, slip_of(second).bars) == (4, 0)


def test_a_bar_given_back_because_it_is_cracked_is_not_free(order, batch, owner):
    give_back(
        order_id=order.pk,
        line_id=order.lines.get().pk,
        batch_id=batch.pk,
        finish="plain",
        bars=2,
        reason="cracked",
        then=BarState.SECOND,
        by=owner,
    )
    assert places(batch) == {"plain": {"reserved": 6, "second": 2, "released": 3, "spoiled": 1}}


class TestReturns:
    @pytest.fixture
    def gone(self, order, batch, owner):
        pack(order, owner)
        hand_over(order_id=order.pk, by=owner)
        return batch

    def come_back(self, order, batch, by, bars=2, **more):
        line = order.lines.get().pk
        return return_bars(
            order_id=order.pk, line_id=line, batch_id=batch.pk, finish="plain", bars=bars, by=by,
            **({"reason": "smells old"} | more),
        )  # fmt: skip

    def test_bars_that_came_back_are_not_free_before_an_owner_judges_them(self, order, gone, owner, maker):
        self.come_back(order, gone, maker)
        assert places(gone) == {"plain": {"shipped": 6, "returned": 2, "released": 3, "spoiled": 1}}
        with pytest.raises(CureRefusal) as refusal:
            self.put_back(gone, maker)
        assert str(refusal.value) == "Only an owner puts such bars back. Ask the owner to look at them."
        self.put_back(gone, owner)
        set_bars_aside(batch_id=gone.pk, finish="plain", from_state=BarState.RETURNED, to_state=BarState.SPOILED,
                       bars=1, note="rancid", by=maker)  # fmt: skip
        assert places(gone) == {"plain": {"shipped": 6, "released": 4, "spoiled": 2}}

    def put_back(self, batch, by, **more):
        return put_back_bars(
            **({"batch_id": batch.pk, "finish": "plain", "from_state": BarState.RETURNED, "bars": 1} | more),
            words="never opened, smells right",
            by=by,
        )

    def test_no_more_come_back_than_left(self, order, gone, owner):
        for bars in (0, 9):
            with pytest.raises(CureRefusal) as refusal:
                self.come_back(order, gone, owner, bars=bars)
            assert str(refusal.value) == f"8 of these bars were handed over with {order}. Enter from 1 to 8."
        with pytest.raises(CureRefusal):
            self.come_back(order, gone, owner, reason=" ")

    def test_one_form_brings_them_back_once(self, order, gone, owner):
        once = uuid4()
        for _ in range(2):
            self.come_back(order, gone, owner, typed_once=once)
        assert places(gone)["plain"]["returned"] == 2

    def test_nothing_goes_back_to_the_shelf_while_the_batch_is_on_hold(self, order, gone, owner):
        self.come_back(order, gone, owner)
        hold_batch(batch_id=gone.pk, reason="a supplier's recall", by=owner)
        assert places(gone) == {"plain": {"shipped": 6, "held": 5, "spoiled": 1}}
        with pytest.raises(CureRefusal):
            self.put_back(gone, owner, from_state=BarState.HELD)
        clear_hold(batch_id=gone.pk, words="not our lot", by=owner)
        assert places(gone) == {"plain": {"shipped": 6, "in_cure": 3, "held": 2, "spoiled": 1}}

    def test_others_are_sent_in_their_place(self, order, gone, owner):
        self.come_back(order, gone, owner)
        allocate_bars(order_id=order.pk, today=READY_DAY, by=owner)
        pack(order, owner)
        hand_over(order_id=order.pk, by=owner)
        assert places(gone) == {"plain": {"shipped": 8, "returned": 2, "released": 1, "spoiled": 1}}
        assert (state(order), slip_of(Parcel.objects.get(position=2)).bars) == (OrderState.HANDED_OVER, 2)


class TestSecondsAndHolds:
    def aside(self, batch, by, to_state, bars=2, start=BarState.RELEASED):
        return set_bars_aside(
            batch_id=batch.pk, finish="plain", from_state=start, to_state=to_state, bars=bars, note="chipped", by=by
        )

    def test_seconds_leave_with_a_name(self, batch, owner):
        self.aside(batch, owner, BarState.SECOND)
        with pytest.raises(CureRefusal):
            let_seconds_go(batch_id=batch.pk, finish="plain", bars=1, to_whom=" ", by=owner)
        let_seconds_go(batch_id=batch.pk, finish="plain", bars=1, to_whom="school fair", by=owner)
        assert places(batch)["plain"] == {"reserved": 8, "released": 1, "second": 1, "let_go": 1, "spoiled": 1}
        assert BarMove.objects.get(to_state="let_go").note == "school fair"

    def test_seconds_never_leave_before_the_release(self, order, owner):
        curing = make_cut(order, by=owner)
        self.aside(curing, owner, BarState.SECOND, start=BarState.IN_CURE)
        with pytest.raises(CureRefusal) as refusal:
            let_seconds_go(batch_id=curing.pk, finish="plain", bars=1, to_whom="school fair", by=owner)
        assert str(refusal.value) == f"{curing} is curing. Even seconds leave only after the release."

    def test_single_bars_are_held_and_put_back_by_the_owner(self, batch, owner, maker):
        self.aside(batch, maker, BarState.HELD)
        assert places(batch)["plain"] == {"reserved": 8, "released": 1, "held": 2, "spoiled": 1}
        put_back_bars(batch_id=batch.pk, finish="plain", from_state=BarState.HELD, bars=2, words="only dust", by=owner)
        assert places(batch)["plain"] == {"reserved": 8, "released": 3, "spoiled": 1}

    def test_seconds_stopped_by_a_hold_do_not_come_back_as_sound_bars(self, batch, owner):
        self.aside(batch, owner, BarState.SECOND)
        hold_batch(batch_id=batch.pk, reason="spots", by=owner)
        clear_hold(batch_id=batch.pk, words="washed off", by=owner)
        assert places(batch)["plain"] == {"in_cure": 9, "held": 2, "spoiled": 1}


class TestSwaps:
    def swap(self, line, batch, other, by, bars):
        return swap_bars(
            line_id=line.lines.get().pk,
            batch_id=batch.pk,
            finish="plain",
            bars=bars,
            other_line_id=other.lines.get().pk,
            reason="they fetch it today",
            by=by,
        )

    def test_an_order_gets_what_it_lacks_and_the_other_says_that_it_is_short(self, design, order, batch, owner):
        other = make_order(design, 5, needed_by=NEEDED, by=owner)
        self.swap(order, batch, other, owner, 5)
        assert (bars_of(order).reserved, bars_of(other).reserved, state(other)) == (3, 5, OrderState.READY)
        short = Order.objects.get(pk=order.pk)
        assert short.risk_text == "5 bars went to another order and are not replaced yet."
        assert places(batch)["plain"] == {"reserved": 8, "released": 3, "spoiled": 1}

    def test_two_orders_change_batches_with_each_other(self, design, order, batch, owner):
        other = make_order(design, 8, needed_by=NEEDED, by=owner)
        second = make_released(make_cut(other, by=owner), by=owner)
        allocate_bars(order_id=other.pk, today=READY_DAY, by=owner, out_of_turn="all of one batch")
        own = {lot.batch_number: lot.bars for need in bars_of(other).needs for lot in need.lots}
        assert own == {batch.number: 3, second.number: 5}
        self.swap(order, batch, other, owner, 5)
        assert {lot.batch_number: lot.bars for need in bars_of(order).needs for lot in need.lots} == {
            batch.number: 3,
            second.number: 5,
        }
        assert {lot.batch_number: lot.bars for need in bars_of(other).needs for lot in need.lots} == {batch.number: 8}
        assert places(batch)["plain"]["reserved"] == 11

    def test_an_order_that_has_all_takes_none(self, design, order, batch, owner):
        other = make_order(design, 3, needed_by=NEEDED, by=owner)
        allocate_bars(order_id=other.pk, today=READY_DAY, by=owner)
        with pytest.raises(CureRefusal) as refusal:
            self.swap(order, batch, other, owner, 2)
        assert str(refusal.value) == f"{other} can take 0 bars of these at most. It has all it asked for."
        assert bars_of(order).reserved == 8
