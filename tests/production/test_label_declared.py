"""From a batch's rows to the list of every finish: real weights, parts, balance, allergens."""

from decimal import Decimal

import pytest

from formulas.models import Material, PartIngredient
from production.batches.models import Batch
from production.labels.declared import batch_labels
from production.labels.present import present_day
from production.labels.reads import batch_for_labels
from soapshop.models import Workshop
from tests.production.label_shop import (
    TODAY,
    cut_from,
    materials,
    ordered_batch,
    parts,
    planned_batch,
    released_batch,
    weighed_batch,
)

MARKETS = ("us_soap", "us_cosmetic", "eu", "uk", "ca")
STYLES = ("as_added", "as_resulting")


def labels(batch: Batch, *, market="us_soap", style="as_added"):
    found = batch_for_labels().get(pk=batch.pk)
    present = present_day([found], workshop=Workshop.current(), market=market)
    return batch_labels(found, present, market=market, style=style, on=TODAY)


def codes(finish):
    return [problem.code for problem in (*finish.problems, *finish.declaration.problems) if problem.level != "note"]


def names(finish):
    return [entry.name for entry in finish.declaration.entries]


def grams_of(finish, name):
    return next((entry.grams for entry in finish.declaration.entries if entry.name == name), None)


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("market", MARKETS)
def test_the_masses_close_for_every_finish(owner, workshop, market, style):
    for finish in labels(released_batch(owner), market=market, style=style).finishes:
        balance = finish.declaration.balance
        assert abs(balance.residual_grams) < Decimal("1e-18")
        listed = sum(entry.grams for entry in finish.declaration.entries if entry.group != "allergen")
        assert listed <= finish.declaration.basis_grams


def test_bars_with_a_seal_have_a_list_of_their_own(owner, workshop):
    found = labels(released_batch(owner))
    assert [(finish.key, finish.name, finish.bars) for finish in found.finishes] == [
        ("seal", "Seal", 7),
        ("seal+shell", "Seal + Shell", 3),
        ("plain", "Plain", 2),
    ]
    sealed, _, plain = found.finishes
    assert "Iron Oxides" in names(sealed)
    assert "Iron Oxides" not in names(plain)
    flakes = {finish.key: grams_of(finish, "Sodium Palm Kernelate") for finish in found.finishes}
    # seal 7 × 4 g × 95 % = 26.6; with the shell 3 × (3.8 + 6) g = 29.4, by hand
    assert flakes == {"seal": Decimal("26.600"), "seal+shell": Decimal("29.400"), "plain": None}


def test_the_share_of_each_finish_is_its_bars_at_the_cut(owner, workshop):
    """2 bars of 128 g: the body of the plain bars weighs 256 g, by hand."""
    plain = labels(released_batch(owner)).finish("plain")
    assert round(plain.declaration.balance.in_grams, 1) == Decimal("256.0")


def test_the_list_follows_the_scale_and_not_the_plan(owner, workshop):
    batch = weighed_batch(owner)
    before = labels(batch).finish("plain").declaration
    olive = batch.weighings.get(material__name="Olive oil")
    olive.actual_grams = olive.planned_grams / 4
    olive.save(update_fields=["actual_grams"])
    after = labels(batch).finish("plain").declaration
    assert before.entries[0].name == "Olea Europaea (Olive) Fruit Oil"
    assert after.entries[0].name == "Cocos Nucifera (Coconut) Oil"


def test_a_certificate_of_the_lot_wins_over_the_planned_purity(owner, workshop):
    batch = weighed_batch(owner)
    lot = batch.weighings.get(material__name="Sodium hydroxide").lot
    lot.purity_percent = Decimal("98.5")
    lot.save(update_fields=["purity_percent"])
    idle = {
        line.what: line.grams
        for line in labels(batch, style="as_resulting").finish("plain").declaration.balance.lines_out
    }
    lye = next(
        line.grams
        for line in labels(batch).finish("plain").declaration.balance.lines_in
        if line.what == "Sodium hydroxide"
    )
    assert idle["Sodium hydroxide: not listed"] == lye * Decimal("0.015")


def test_what_is_not_weighed_stops_and_says_it_is_planned(owner, workshop):
    found = labels(planned_batch(owner))
    assert found.basis == "planned weights: 6 not weighed"
    assert codes(found.finish("plain"))[0] == "not_weighed"
    assert labels(weighed_batch(owner, name="Second", with_parts=False)).basis == "weights recorded at the bench"


def test_unknown_allergens_stop_until_the_statement_is_entered(owner, workshop):
    stock = materials()
    Material.objects.filter(pk=stock["scent"].pk).update(has_allergen_statement=False)
    batch = weighed_batch(owner)
    assert codes(labels(batch, market="eu").finish("plain")) == ["unknown_allergens"]
    Material.objects.filter(pk=stock["scent"].pk).update(has_allergen_statement=True)
    mended = labels(batch, market="eu").finish("plain")
    assert codes(mended) == []
    assert [line.name for line in mended.declaration.allergens if line.is_declared] == ["Linalool"]


def test_allergens_stand_on_the_lowest_cured_weight(owner, workshop):
    """3 % scent of the oils with 12 % linalool: its share of the lowest cured mass must exceed that of the batter."""
    plain = labels(released_batch(owner), market="eu").finish("plain")
    line = plain.declaration.allergens[0]
    in_batter = 100 * line.grams / plain.declaration.balance.in_grams
    lowest = plain.weights.lowest_fraction * plain.declaration.balance.in_grams
    assert line.percent == 100 * line.grams / lowest
    assert line.percent > in_batter


def test_a_part_of_unknown_make_stops_only_the_bars_that_carry_it(owner, workshop):
    stock = materials()
    batch = planned_batch(owner, with_parts=False)
    seal, _ = parts(stock, batch.design)
    PartIngredient.objects.filter(part=seal).delete()
    sealed = ordered_batch(batch.design, {seal.pk: 10}, owner)
    found = labels(sealed)
    assert "part_contents_unknown" in codes(found.finish("seal"))
    assert "part_contents_unknown" not in codes(found.finish("plain"))
    PartIngredient.objects.create(part=seal, material=stock["dough"], percent=Decimal(100))
    assert "part_contents_unknown" not in codes(labels(sealed).finish("seal"))


def test_a_name_entered_later_mends_the_label_of_an_earlier_batch(owner, workshop):
    stock = materials()
    Material.objects.filter(pk=stock["olive"].pk).update(label_name_us="", has_confirmed_names=False)
    batch = weighed_batch(owner)
    assert codes(labels(batch).finish("plain")) == ["missing_name"]
    Material.objects.filter(pk=stock["olive"].pk).update(label_name_us="Olive Oil", has_confirmed_names=True)
    assert codes(labels(batch).finish("plain")) == []


def test_spoiled_and_kept_bars_get_no_label(owner, workshop):
    batch = cut_from(weighed_batch(owner), owner)
    batch.bar_moves.create(finish="seal", from_state="in_cure", to_state="test", bars=1, by=owner)
    assert [finish.bars for finish in labels(batch).finishes] == [6, 3, 2]


def test_an_impossible_purity_is_refused_in_a_sentence(owner, workshop):
    batch = weighed_batch(owner)
    frozen = batch.frozen
    next(m for m in frozen["materials"] if m["name"] == "Olive oil")["fat_percent"] = None
    next(m for m in frozen["materials"] if m["kind"] == "alkali")["alkali_kind"] = ""
    batch.save(update_fields=["frozen"])
    finish = labels(batch).finish("plain")
    assert finish.declaration is None
    assert finish.refusal == "Sodium hydroxide has no alkali kind. Say whether it is NaOH or KOH."
