"""What the pieces on a bar really hold: by the pots of the lots they came from."""

from decimal import Decimal

import pytest

from formulas.models import Part
from production.labels.declared import batch_labels
from production.labels.present import present_day
from production.labels.reads import batch_for_labels
from production.part_batches.actions import plan_part_batch, pour_part_batch, shelve_part_batch
from production.part_batches.contents import LotOnBars, lots_on_bars, true_shares
from production.stock.actions import make_part_lot, use_parts
from production.stock.models import PartLot
from tests.production.cure_builders import CUT_DAY, make_cut, make_design, make_order
from tests.production.test_part_batches import crown, stocked


def test_lots_count_by_their_pieces_and_as_usual_where_no_pot_is_known():
    """Worked by hand: 30 pieces of all olive, 10 of half olive and half palm: 87.5 and 12.5 %."""
    lots = (LotOnBars(30, ((1, Decimal(100)),)), LotOnBars(10))
    usual = ((1, Decimal(50)), (2, Decimal(50)))
    assert true_shares(lots, usual) == ((1, Decimal("87.5")), (2, Decimal("12.5")))
    assert true_shares((LotOnBars(10),), usual) == usual
    assert true_shares((), usual) == usual


@pytest.mark.django_db
def test_the_label_follows_the_pot_and_not_the_formula(owner, workshop):
    design = make_design(owner)
    part = crown(owner, attached_at="cut", made_ahead_least_days=0, name="Crown seal")
    Part.objects.filter(pk=part.pk).update(key="crown")
    design.parts.create(part=part)
    planned = plan_part_batch(part_id=part.pk, pieces=40, make_on=CUT_DAY, by=owner)
    weights = stocked(planned, owner)
    palm = planned.weighings.get(material__key="palm")
    weights[palm.pk] = (weights[palm.pk][0], palm.planned_grams + 20)
    pour_part_batch(
        part_batch_id=planned.pk, weights=weights, made_on=CUT_DAY, what_happened="A hand too heavy.", by=owner
    )
    lot = shelve_part_batch(part_batch_id=planned.pk, pieces=40, use_by=None, by=owner).lot
    order = make_order(design, 8, needed_by=CUT_DAY.replace(month=7), by=owner, parts={"crown": 4})
    batch = make_cut(order, by=owner, bars={"crown": 4, "plain": 7})
    use_parts(part_lot_id=lot.pk, pieces=4, on=CUT_DAY, batch_id=batch.pk, by=owner)
    whole = sum((grams for _, grams in weights.values()), Decimal(0))
    (used,) = lots_on_bars([batch.pk])[batch.pk, part.pk]
    assert (used.pieces, dict(used.shares)[palm.material_id]) == (4, 100 * weights[palm.pk][1] / whole)
    # Four pieces of 4.5 g: the palm oil in them, by what the scale said.
    assert _palm_grams(batch, workshop) == round(18 * weights[palm.pk][1] / whole, 3)


@pytest.mark.django_db
def test_pieces_without_a_pot_are_declared_as_planned(owner, workshop):
    design = make_design(owner)
    lot = make_part_lot(part=Part.objects.get(key="seal"), pieces=9, made_on=CUT_DAY, use_by=None, by=owner)
    batch = make_cut(make_order(design, 8, needed_by=CUT_DAY.replace(month=7), by=owner, parts={"seal": 4}), by=owner)
    use_parts(part_lot_id=lot.pk, pieces=4, on=CUT_DAY, batch_id=batch.pk, by=owner)
    assert lots_on_bars([batch.pk]) == {(batch.pk, lot.part_id): (LotOnBars(4),)}
    assert PartLot.objects.get().pieces_left == 5


def _palm_grams(batch, workshop) -> Decimal:
    read = batch_for_labels().get(pk=batch.pk)
    present = present_day([read], workshop=workshop, market="us_soap")
    found = batch_labels(read, present, market="us_soap", style="as_added", on=CUT_DAY)
    lines = found.finish("crown").declaration.balance.lines_in
    return next(line.grams for line in lines if line.what.startswith("Palm oil"))
