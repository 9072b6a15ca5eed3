"""Ends into stock, rebatches, rework and molds filled from other pots: what they hold, and that no gram is lost."""

from decimal import Decimal

import pytest

from production.batch_states import BatchState
from production.batches.actions.after_pour import hold_batch
from production.batches.actions.bench import pour_batch, undo_weighing, weigh_line
from production.batches.asked import BatchRefusal
from production.batches.models import Batch
from production.batches.records import weighed_inputs
from production.labels.declared import batch_labels
from production.labels.present import present_day
from production.labels.reads import batch_for_labels
from production.leftovers.actions.scraps import rework_batch, stock_scraps
from production.leftovers.actions.second_mold import fill_from_pots
from production.lot_states import LotState
from production.stock.models import Lot
from soapshop.models import User, Workshop
from tests.production.builders import TODAY, material, poured_batch, weighed_batch
from tests.production.leftovers_shop import CUT_ON, another_pot, cut_with_weights, ends_of, rebatch_of, weigh_all
from tests.production.stores_shop import assert_balanced

HUNDRED = Decimal(100)


def held(batch: Batch) -> dict[str, Decimal]:
    """Return what went into a batch, by material."""
    found: dict[str, Decimal] = {}
    for line in weighed_inputs(batch):
        found[line.material.name] = found.get(line.material.name, Decimal(0)) + (line.grams or Decimal(0))
    return found


def declared(batch: Batch) -> str:
    row = batch_for_labels().get(pk=batch.pk)
    labels = batch_labels(
        row,
        present_day([row], workshop=Workshop.current(), market="us_cosmetic"),
        market="us_cosmetic",
        style="as_added",
        on=CUT_ON,
    )
    declaration = labels.finishes[0].declaration
    assert declaration is not None, labels.finishes[0].refusal
    return declaration.text


def test_ends_go_into_stock_with_their_parent_and_what_they_hold(owner: User, workshop: Workshop):
    batch = cut_with_weights(owner)
    lot = ends_of(batch, owner, "40")
    (origin,) = lot.origins.all()
    assert (origin.from_batch, origin.grams, lot.state) == (batch, Decimal(40), LotState.RELEASED)
    whole = held(batch)
    inside = {item["material"]["name"]: Decimal(item["grams"]) for item in lot.contents["items"]}
    # By hand: forty grams hold of each material what forty grams of the whole pot hold.
    expected = {name: grams * 40 / sum(whole.values()) for name, grams in whole.items()}
    assert {name: round(grams, 4) for name, grams in inside.items()} == {
        name: round(grams, 4) for name, grams in expected.items()
    }
    assert_balanced()


def test_more_than_a_batch_can_have_left_over_is_refused(owner: User, workshop: Workshop):
    batch = cut_with_weights(owner)
    ends = batch.ends_grams or Decimal(0)
    with pytest.raises(BatchRefusal, match="can have at most"):
        ends_of(batch, owner, str(ends * 2))
    ends_of(batch, owner, str(ends))
    with pytest.raises(BatchRefusal, match="can have at most"):
        ends_of(batch, owner, str(ends / 2))


@pytest.mark.parametrize("grams", ("0", "-3"))
def test_scraps_weigh_more_than_nothing(owner: User, workshop: Workshop, grams: str):
    batch = poured_batch(owner)
    with pytest.raises(BatchRefusal, match="more than nothing"):
        stock_scraps(batch_id=batch.pk, grams=Decimal(grams), what="", on=TODAY, by=owner)


def test_no_scraps_before_the_pour(owner: User, workshop: Workshop):
    batch, _ = weighed_batch(owner)
    with pytest.raises(BatchRefusal, match="there is no soap of it yet"):
        stock_scraps(batch_id=batch.pk, grams=Decimal(10), what="", on=TODAY, by=owner)


def test_a_rebatch_inherits_every_material_and_adds_its_own(owner: User, workshop: Workshop):
    """C70: the declaration of the rebatch is its parents' contents by weight, and what was added."""
    batch = cut_with_weights(owner)
    lot = ends_of(batch, owner, "40")
    rebatch = weigh_all(rebatch_of(owner, {lot.code: "40"}, {"aloe": "5", "olive": "20"}), owner)
    whole, inside = held(batch), held(rebatch)
    for name, grams in whole.items():
        added = Decimal(20) if name == "Olive oil" else Decimal(0)
        assert round(inside[name], 4) == round(grams * 40 / sum(whole.values()) + added, 4)
    assert inside["Aloe juice"] == Decimal(5)
    assert round(sum(inside.values()), 4) == Decimal(65)
    lot.refresh_from_db()
    assert (lot.grams_left, lot.state) == (Decimal(0), LotState.USED_UP)
    assert_balanced()


def test_a_rebatch_has_its_own_cure_and_a_superfat_from_all_of_it(owner: User, workshop: Workshop):
    batch = cut_with_weights(owner)
    lot = ends_of(batch, owner, "40")
    rebatch = weigh_all(rebatch_of(owner, {lot.code: "40"}, {"olive": "4"}), owner)
    assert (rebatch.cure_days, rebatch.least_cure_days, rebatch.revision) == (28, 14, None)
    assert rebatch.frozen["formula_name"] == f"Rebatch of {batch.number}"
    assert rebatch.superfat_actual_percent > batch.superfat_actual_percent  # four grams of oil without any lye
    poured = pour_batch(batch_id=rebatch.pk, on=CUT_ON, by=owner)
    assert poured.state == BatchState.POURED


def test_the_label_of_a_rebatch_names_what_its_parents_hold(owner: User, workshop: Workshop):
    batch = cut_with_weights(owner)
    lot = ends_of(batch, owner, "40")
    rebatch = weigh_all(rebatch_of(owner, {lot.code: "40"}, {"aloe": "5"}), owner)
    parents = set(declared(batch).split(", "))
    assert parents <= set(declared(rebatch).split(", "))
    assert len(declared(rebatch).split(", ")) == len(parents) + 1


def test_old_and_new_scent_together_stay_under_the_limit(owner: User, workshop: Workshop):
    """C70: the scent still in the scraps counts with the new dose."""
    batch = cut_with_weights(owner)
    lot = ends_of(batch, owner, "40")
    with pytest.raises(BatchRefusal, match=r"Fern fragrance would be .* allows 6 %"):
        rebatch_of(owner, {lot.code: "40"}, {"scent": "2"})


def test_a_tub_of_other_soap_needs_words_and_its_contents_count(owner: User, workshop: Workshop):
    batch = cut_with_weights(owner)
    first, second = ends_of(batch, owner, "20"), ends_of(batch, owner, "20")
    rebatch = rebatch_of(owner, {first.code: "20"})
    Batch.objects.filter(pk=rebatch.pk).update(status="in_process")
    line = rebatch.weighings.get()
    with pytest.raises(BatchRefusal, match="holds other soap"):
        weigh_line(weighing_id=line.pk, lot_code=second.code, grams=Decimal(20), on=CUT_ON, by=owner)
    weigh_line(
        weighing_id=line.pk, lot_code=second.code, grams=Decimal(20), on=CUT_ON, by=owner, what_happened="wrong tub"
    )
    assert rebatch.deviations.get().what == f"{second.code} went in instead of {first.code}. wrong tub"
    undo_weighing(weighing_id=line.pk, reason="back", by=owner)
    line.refresh_from_db()
    assert (line.lot, line.is_weighed) == (second, False)


def test_a_batch_made_over_can_never_be_released_and_leads_on(owner: User, workshop: Workshop):
    """G26: rework makes a child with parents; the parent is closed."""
    batch = cut_with_weights(owner)
    hold_batch(batch_id=batch.pk, reason="bites", by=owner)
    grams = sum(held(batch).values()).quantize(Decimal(1)) - 10
    lot = rework_batch(batch_id=batch.pk, grams=grams, words="more fat", on=CUT_ON, by=owner)
    batch.refresh_from_db()
    assert (batch.state, lot.origins.get().from_batch) == (BatchState.REWORKED, batch)
    with pytest.raises(BatchRefusal, match="already is reworked"):
        rework_batch(batch_id=batch.pk, grams=grams, words="again", on=CUT_ON, by=owner)


def test_only_an_owner_decides_on_rework(owner: User, maker: User, workshop: Workshop):
    batch = cut_with_weights(owner)
    hold_batch(batch_id=batch.pk, reason="bites", by=owner)
    with pytest.raises(BatchRefusal, match="Only an owner"):
        rework_batch(batch_id=batch.pk, grams=Decimal(100), words="more fat", on=CUT_ON, by=maker)


def test_two_molds_from_one_pot_are_two_batches_where_contents_differ(owner: User, workshop: Workshop):
    pot, _ = weighed_batch(owner)
    second = fill_from_pots(
        grams_by_batch={pot.number: Decimal(500)}, mold_id=pot.mold_id, mold_count=1, bars=5, on=TODAY, by=owner
    )
    pot.refresh_from_db()
    assert (second.number, second.state, second.revision) == (f"{pot.number}-B", BatchState.IN_PROCESS, pot.revision)
    assert (second.planned_bars, pot.planned_bars, second.cure_days) == (5, 7, pot.cure_days)
    asked = {batch.number: sum(served.bars for served in batch.serves.all()) for batch in (pot, second)}
    assert asked == {pot.number: 7, second.number: 3}  # ten ordered: seven stay, three go along
    whole, inside = held(pot), held(second)
    for name, grams in whole.items():
        assert round(inside[name], 4) == round(grams * 500 / sum(whole.values()), 4)
    assert abs(second.superfat_actual_percent - pot.superfat_actual_percent) < Decimal("0.001")
    assert_balanced()


def test_one_mold_from_two_pots_holds_what_both_hold(owner: User, workshop: Workshop):
    first, _ = weighed_batch(owner)
    other = another_pot(owner, first)
    mixed = fill_from_pots(
        grams_by_batch={first.number: Decimal(300), other.number: Decimal(200)},
        mold_id=first.mold_id,
        mold_count=1,
        bars=5,
        on=TODAY,
        by=owner,
    )
    parents = {line.lot.origins.get().from_batch for line in mixed.weighings.select_related("lot")}
    assert parents == {first, other}
    assert round(sum(held(mixed).values()), 4) == Decimal(500)
    assert set(declared(first).split(", ")) | set(declared(other).split(", ")) == set(declared(mixed).split(", "))


def test_a_pot_gives_no_more_than_it_holds(owner: User, workshop: Workshop):
    pot, _ = weighed_batch(owner)
    with pytest.raises(BatchRefusal, match="are not in a mold yet"):
        fill_from_pots(
            grams_by_batch={pot.number: Decimal(9000)}, mold_id=pot.mold_id, mold_count=1, bars=5, on=TODAY, by=owner
        )


def test_a_hold_covers_all_that_came_of_the_pot(owner: User, workshop: Workshop):
    pot, _ = weighed_batch(owner)
    second = fill_from_pots(
        grams_by_batch={pot.number: Decimal(500)}, mold_id=pot.mold_id, mold_count=1, bars=5, on=TODAY, by=owner
    )
    other = another_pot(owner, pot)
    pour_batch(batch_id=second.pk, on=TODAY, by=owner)
    ends = stock_scraps(batch_id=second.pk, grams=Decimal(20), what="", on=TODAY, by=owner)
    hold_batch(batch_id=pot.pk, reason="lye found too strong", by=owner)
    states = {batch.number: Batch.objects.get(pk=batch.pk).state for batch in (pot, second, other)}
    assert states == {pot.number: BatchState.HELD, second.number: BatchState.HELD, other.number: BatchState.IN_PROCESS}
    assert Lot.objects.get(pk=ends.pk).state == LotState.HELD
    assert material("olive").lots.exclude(status="released").count() == 0  # what was bought is not to blame
