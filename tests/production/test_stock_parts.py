"""Lots of parts: made, counted, held, used; each refusal beside a case that passes."""

from datetime import date, timedelta
from functools import partial
from uuid import uuid4

import pytest

from formulas.models import Formula
from production.stock.actions import (
    StockRefusal,
    clear_part_lot,
    count_parts,
    hold_part_lot,
    look_at_parts,
    make_part_lot,
    use_parts,
)
from production.stock.models import PartLot
from tests.production.cure_builders import make_design, make_order
from tests.production.stores_shop import TODAY, assert_balanced, part

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def pieces(by, count: int = 20, **facts) -> PartLot:
    return make_part_lot(**{"part": part(), "pieces": count, "made_on": TODAY, "use_by": None, "by": by, **facts})


@pytest.fixture
def batch_id(workshop, owner) -> int:
    from production.batches.actions.planning import plan_batches

    order = make_order(make_design(owner), 10, needed_by=TODAY + 90 * DAY, by=owner)
    return plan_batches(order_id=order.pk, today=TODAY, by=owner)[0].pk


def refused(act) -> str:
    with pytest.raises(StockRefusal) as caught:
        act()
    return str(caught.value)


def test_pieces_become_a_lot_once(workshop, owner):
    once = uuid4()
    first = pieces(owner, typed_once=once)
    assert (first.code, first.pieces_left) == ("P26-001", 20)
    assert pieces(owner, typed_once=once).pk == first.pk
    assert pieces(owner).code == "P26-002"


@pytest.mark.parametrize("facts", ({"pieces": 0}, {"pieces": 100_001}, {"use_by": TODAY - DAY}))
def test_a_lot_that_cannot_be_true_is_refused(workshop, owner, facts):
    refused(lambda: pieces(owner, **facts))
    assert pieces(owner, use_by=TODAY).pieces_left == 20


def test_a_lot_gives_exactly_its_pieces(batch_id, owner):
    got = pieces(owner, 5)
    words = "P26-001 holds 5 pieces. Take at most that many, and at least one."

    def use(count: int) -> PartLot:
        return use_parts(part_lot_id=got.pk, pieces=count, on=TODAY, batch_id=batch_id, by=owner)

    assert [refused(partial(use, count)) for count in (6, 0, -1)] == [words] * 3
    assert use(5).pieces_left == 0
    assert_balanced()


def test_held_or_out_of_date_pieces_stay_on_the_shelf(batch_id, owner):
    got = pieces(owner, use_by=TODAY)
    hold_part_lot(part_lot_id=got.pk, reason="Sweating", by=owner)

    def use(on):
        return use_parts(part_lot_id=got.pk, pieces=1, on=on, batch_id=batch_id, by=owner)

    assert refused(lambda: use(TODAY)) == "P26-001 is on hold. Choose another lot of Seal."
    clear_part_lot(part_lot_id=got.pk, reason="Dry again", by=owner)
    assert refused(lambda: use(TODAY + DAY)) == "P26-001 was to be used by May 12. Make fresh pieces."
    assert use(TODAY).pieces_left == 19


def test_a_hold_has_a_reason_and_is_not_doubled(workshop, owner):
    got = pieces(owner)
    refused(lambda: hold_part_lot(part_lot_id=got.pk, reason=" ", by=owner))
    refused(lambda: clear_part_lot(part_lot_id=got.pk, reason="fine", by=owner))
    assert hold_part_lot(part_lot_id=got.pk, reason="Sweating", by=owner).hold_reason == "Sweating"
    refused(lambda: hold_part_lot(part_lot_id=got.pk, reason="Still", by=owner))
    refused(lambda: clear_part_lot(part_lot_id=got.pk, reason="", by=owner))
    assert not clear_part_lot(part_lot_id=got.pk, reason="Dry again", by=owner).is_held


def test_counting_again_writes_the_difference(workshop, owner):
    got = pieces(owner, 20)

    def count(pieces_there: int, reason: str = "Three broke") -> PartLot:
        return count_parts(part_lot_id=got.pk, pieces=pieces_there, reason=reason, by=owner)

    words = "20 pieces were made as P26-001. Count from 0 to that many."
    assert [refused(partial(count, pieces_there)) for pieces_there in (-1, 21)] == [words] * 2
    refused(partial(count, 17, reason=""))
    assert count(17).pieces_left == 17
    count(17, reason="")
    assert [move.pieces for move in got.moves.order_by("pk")] == [20, -3]


def test_usable_lots_stand_first_to_go_first(workshop, owner):
    keeps, late = pieces(owner), pieces(owner, use_by=TODAY + 9 * DAY)
    soon = pieces(owner, use_by=TODAY)
    pieces(owner, made_on=TODAY - 9 * DAY, use_by=TODAY - DAY)
    held = pieces(owner)
    hold_part_lot(part_lot_id=held.pk, reason="Sweating", by=owner)
    assert list(PartLot.objects.usable(on=TODAY)) == [soon, late, keeps]


def test_soap_pieces_get_the_usual_use_by_and_rest_before_they_are_used(batch_id, owner):
    """case-C58: dough keeps three months when wrapped; common practice, no source."""
    made_on = date(2026, 4, 14)
    soap = part()
    soap.formula = Formula.objects.create(name="Dough")
    soap.made_ahead_least_days = 3
    soap.save(update_fields=["formula", "made_ahead_least_days"])
    lot = make_part_lot(part=soap, pieces=10, made_on=made_on, use_by=None, by=owner)
    # Worked by hand: 90 days from April 14 are July 13.
    assert lot.use_by == date(2026, 7, 13)
    with pytest.raises(StockRefusal, match=r"has to rest 3 days and is ready on Apr 17, 2026\. Use it then\."):
        use_parts(part_lot_id=lot.pk, pieces=1, on=date(2026, 4, 16), batch_id=batch_id, by=owner)
    with pytest.raises(StockRefusal, match=r"was to be used by Jul 13\. Make fresh pieces\."):
        use_parts(part_lot_id=lot.pk, pieces=1, on=date(2026, 7, 14), batch_id=batch_id, by=owner)
    assert use_parts(part_lot_id=lot.pk, pieces=1, on=date(2026, 4, 17), batch_id=batch_id, by=owner).pieces_left == 9


class TestKeeping:
    """case-C58: dough keeps three months wrapped and six at most, a day in open air; it is looked at every month."""

    @pytest.fixture
    def dough(self, workshop, owner):
        made = part()
        made.formula = Formula.objects.create(name="Dough of the house")
        made.save(update_fields=["formula"])
        return made

    def test_wrapped_or_open(self, dough, owner):
        assert pieces(owner, part=dough).use_by == TODAY + 90 * DAY
        assert pieces(owner, part=dough, is_wrapped=False).use_by == TODAY + DAY

    def test_no_part_keeps_longer_than_half_a_year(self, dough, owner):
        words = "No part keeps longer than 180 days. Give an earlier use-by."
        assert refused(lambda: pieces(owner, part=dough, use_by=TODAY + 181 * DAY)) == words
        assert pieces(owner, part=dough, use_by=TODAY + 180 * DAY).pk
        bought = dough
        bought.formula = None
        assert pieces(owner, part=bought, use_by=TODAY + 400 * DAY).pk

    def test_looked_at_every_month_and_opened(self, dough, owner):
        lot = pieces(owner, part=dough)
        assert lot.look_again_on == TODAY + 30 * DAY
        lot = look_at_parts(part_lot_id=lot.pk, on=TODAY + 28 * DAY, words="Soft, no sweat", by=owner)
        assert (lot.look_again_on, lot.use_by) == (TODAY + 58 * DAY, TODAY + 90 * DAY)
        lot = look_at_parts(part_lot_id=lot.pk, on=TODAY + 40 * DAY, words="Film torn", is_wrapped=False, by=owner)
        assert (lot.is_wrapped, lot.use_by) == (False, TODAY + 41 * DAY)
        assert "Say in a few words how" in refused(
            lambda: look_at_parts(part_lot_id=lot.pk, on=TODAY + 41 * DAY, words=" ", by=owner)
        )

    def test_a_stamp_is_no_piece(self, dough, owner):
        dough.kind = "stamp"
        assert "is a stamp: work on the bar" in refused(lambda: pieces(owner, part=dough))
