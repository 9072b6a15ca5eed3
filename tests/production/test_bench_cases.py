"""Makers' cases of the bench by their number: yield, leftovers, halved recipes, scents that run out, lot codes.

The expected figures are the makers' own sums, worked again by hand; where one is common practice, the case says so.
"""

from datetime import date
from decimal import Decimal

import pytest

from formulas.models import Allergen, Material, MaterialAllergen
from production.batches.actions.off_ticket import add_unplanned
from production.batches.effects import effect_words, pot_figures
from production.batches.frozen import FrozenMaterial
from production.batches.models import Batch
from production.batches.pot import InPot
from production.cure.actions.review import release_batch
from production.cure.refusal import CureRefusal
from production.leftovers.contents_of import fresh_contents
from production.stock.actions import receive_lot
from production.stock.reads import ShelfFilter, stores_page
from production.stock.receive_form import ReceiveForm
from production.yield_points import BARS, CUT, YieldFacts, YieldLimits, outside, yield_points
from soapshop.models import User, Workshop
from tests.production.builders import TODAY, material, planned_batch, started_batch, weigh, weighed_batch
from tests.production.cure_builders import READY_DAY
from tests.production.leftovers_shop import cut_with_weights, ends_of, rebatch_of, weigh_all

OUNCE, POUND = Decimal("28.349523125"), Decimal("453.59237")


def test_c69_ends_count_and_bars_are_judged_by_those_planned():
    """C69: 10 lb give 33 bars of 4.85 oz and 6 ends; 33 of 39 pieces are 84.6 %, fewer than nine in ten."""
    block, bar = 10 * POUND, 10 * POUND / 39
    facts = YieldFacts(
        input_grams=block,
        in_molds_grams=block,
        planned_bars=39,
        bars=33,
        mean_bar_grams=bar,
        ends_grams=6 * bar,
    )
    points = {point.key: point for point in yield_points(facts, YieldLimits())}
    assert (points[CUT].percent, points[CUT].is_outside) == (Decimal(100), False)
    assert (points[BARS].percent, points[BARS].is_outside) == (Decimal("84.6"), True)
    assert round(block / OUNCE / 33, 2) == Decimal("4.85")


def test_c69_planned_on_what_the_mold_really_gives_nothing_is_asked():
    facts = YieldFacts(input_grams=10 * POUND, planned_bars=33, bars=33)
    assert outside(yield_points(facts, YieldLimits()), BARS) == ()


def test_c70_every_parent_material_and_allergen_is_inherited(owner: User, workshop: Workshop):
    """C70: ends are stock with parents; liquid and a squirt of oil go in, and the superfat moves with the oil.

    Liquid of 3 oz on 2 lb is 9.4 % (common practice): 3.75 g on 40 g.
    """
    linalool = Allergen.objects.create(name="Linalool")
    MaterialAllergen.objects.create(material=material("scent"), allergen=linalool, share_percent=Decimal(4))
    batch = cut_with_weights(owner)
    rebatch = weigh_all(
        rebatch_of(owner, {ends_of(batch, owner, "40").code: "40"}, {"water": "3.8", "olive": "2"}), owner
    )
    inside = {item.material.name: item for item in fresh_contents(rebatch).items}
    assert {item.material.name for item in fresh_contents(batch).items} <= set(inside)
    assert inside["Fern fragrance"].material.allergens == (("Linalool", Decimal(4)),)
    assert rebatch.superfat_actual_percent > batch.superfat_actual_percent


def test_c71_twice_the_fragrance_on_half_the_recipe_is_over_its_limit():
    """C71: 3 % of the oils twice is 6 % of them: with 13.8 % lye 60 of 1,198 g, 5.01 % of the dry soap (by hand)."""
    fat = FrozenMaterial(1, "Olive oil", "fat", sap_low=Decimal(190), sap_plan=Decimal(190), sap_high=Decimal(190))
    lye = FrozenMaterial(2, "Lye", "alkali", alkali_kind="NaOH", purity_percent=Decimal(100))
    scent = FrozenMaterial(3, "Rain", "fragrance", scent_limit_percent=Decimal(4))

    def half(scent_grams: str):
        grams = {fat: "1000", lye: "138", scent: scent_grams}
        return pot_figures(InPot(what, Decimal(amount)) for what, amount in grams.items())

    words = effect_words(half("30"), half("60"), floor_percent=Decimal(2))
    assert "Rain is 5.01 % of the dry soap; its certificate allows 4 %. Scent 3.0 → 6.0 % of the oils." in words


def test_c71_what_was_really_added_stops_the_release_until_it_is_decided(owner: User, workshop: Workshop):
    Material.objects.filter(pk=material("scent").pk).update(scent_limit_percent=3)
    batch, lots = started_batch(owner)
    for line in batch.weighings.select_related("material"):
        is_scent = line.material_id == material("scent").pk
        weigh(line, lots, owner, grams=line.planned_grams * 3 if is_scent else None, words="not halved")
    deviation = batch.deviations.get()
    assert "its certificate allows 3 %" in deviation.effect
    Batch.objects.filter(pk=batch.pk).update(status="curing", poured_on=TODAY, cut_on=TODAY)
    with pytest.raises(CureRefusal, match="cannot be released"):
        release_batch(batch_id=batch.pk, words="smells fine", today=READY_DAY, by=owner)


def test_c72_the_scent_that_runs_out_is_short_when_the_ticket_is_made(owner: User, workshop: Workshop):
    batch = planned_batch(owner)
    needed = batch.weighings.get(material=material("scent")).planned_grams
    receive_lot(material=material("scent"), received_on=date(2026, 4, 1), grams=needed - 10, by=owner)
    short = {
        row.material.name: row.shortage.amount for row in stores_page(ShelfFilter("", ""), today=TODAY).short_materials
    }
    assert short["Fern fragrance"] == Decimal(10)


def test_c72_a_second_scent_is_a_line_of_its_own_and_the_lye_is_judged_too(owner: User, workshop: Workshop):
    batch, lots = weighed_batch(owner)
    other = Material.objects.create(name="Harbor fragrance", kind="fragrance")
    tub = receive_lot(material=other, received_on=TODAY, grams=Decimal(100), by=owner)
    told = {"batch_id": batch.pk, "on": TODAY, "by": owner}
    add_unplanned(lot_code=tub.code, grams=Decimal(10), what_happened="topped up", **told)
    add_unplanned(lot_code=lots[material("naoh").pk], grams=Decimal(10), what_happened="read it wrong", **told)
    scent, lye = batch.deviations.all()
    assert "Harbor fragrance has no limit on file: nothing is released before it is known." in scent.effect
    assert "New on the label: Harbor fragrance." in scent.effect
    assert lye.effect.startswith(("Superfat ", "Stop: Superfat "))


def test_c73_lot_codes_are_generated_one_after_the_other_and_never_typed(owner: User, workshop: Workshop):
    """C73: a readable year and a running number; the first has its number as well."""
    oil = material("olive")
    codes = [receive_lot(material=oil, received_on=TODAY, grams=Decimal(1), by=owner).code for _ in range(3)]
    assert codes == ["L26-001", "L26-002", "L26-003"]
    assert "code" not in ReceiveForm(today=TODAY, currency="USD").fields
