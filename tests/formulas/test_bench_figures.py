"""What the page adds to the sums: two alkalis, another superfat by either route, and rounding to the scales."""

from dataclasses import replace

import pytest

from formulas.alkali_split import alkali_parts
from formulas.chemistry.compute import compute_formula
from formulas.chemistry.records import (
    Additive,
    Alkali,
    Fat,
    FormulaError,
    FormulaSpec,
    LiquidRule,
    Spread,
    StockSolution,
)
from formulas.scale_rounding import ScaleSteps, rounded_batch
from formulas.superfat_routes import superfat_routes
from tests.formulas.chemistry_parts import OUNCE, dec, fat_by_factor

ACID = Additive("Citric acid", dec(20), dec("0.62455"))
SPEC = FormulaSpec(
    "Recipe R",
    dec("0.05"),
    (
        Fat("Olive", dec(400), Spread(dec(187), dec("191.5"), dec(196))),
        Fat("Coconut", dec(300), Spread(dec(248), dec("256.5"), dec(265))),
        Fat("Palm", dec(300), Spread(dec(190), dec("199.5"), dec(209))),
    ),
    (Alkali("NaOH", purity_fraction=Spread(dec("0.97"), dec("0.98"), dec("0.99"))),),
    LiquidRule("lye_concentration", dec(33)),
)
BOTH = (Alkali("NaOH", dec("0.9"), Spread(dec("0.97"), dec("0.98"), dec("0.99"))),)
BOTH += (Alkali("KOH", dec("0.1"), Spread(dec("0.88"), dec("0.9"), dec("0.92"))),)
STEPS = ScaleSteps(
    lye_grams=dec("0.1"),
    fat_grams=dec(1),
    dose_grams=dec("0.1"),
    finest_grams=dec("0.1"),
    alkali_fraction=dec("0.005"),
    fat_fraction=dec("0.01"),
    liquid_fraction=dec("0.02"),
    dose_fraction=dec("0.02"),
    minor_fraction=dec("0.05"),
)


# Worked formula with 90/10 NaOH/KOH(90 %), computed apart from this app: 132.726 / 22.526 g by share of the fat,
# 133.917 / 14.880 g pure by weight, here with purity 98 and 90 %: 136.650 / 16.533 g.
def test_two_alkalis_show_their_weights_and_the_other_reading():
    spec = replace(SPEC, alkalis=BOTH)
    naoh, koh = alkali_parts(spec, compute_formula(spec))
    assert (round(naoh.weighed_grams, 3), round(koh.weighed_grams, 3)) == (dec("132.726"), dec("22.526"))
    assert (naoh.fat_share_percent, koh.fat_share_percent) == (90, 10)
    by_mass = [naoh.if_by_mass_grams * dec("0.98"), koh.if_by_mass_grams * dec("0.9")]
    assert [round(grams, 2) for grams in by_mass] == [dec("133.92"), dec("14.88")]
    assert round(naoh.mass_share_percent + koh.mass_share_percent, 9) == 100


def test_one_alkali_has_no_split():
    assert alkali_parts(SPEC, compute_formula(SPEC)) == ()


# Case C100: 5 to 8 % by the lye is lye × 0.92 / 0.95; by the oils it is oils × 0.95 / 0.92, 33 g more a kilogram.
def test_case_c100_both_routes_to_another_superfat():
    routes = superfat_routes(SPEC, compute_formula(SPEC), wanted_percent=dec(8))
    change = routes.lye[0]
    assert round(change.now_grams / change.was_grams, 3) == dec("0.968")
    assert round(routes.oils_more_grams) == 33
    assert round(sum(oil.now_grams for oil in routes.oils), 2) == dec("1032.61")
    assert round(routes.oils_batch_grams, 2) == dec("1479.50")  # 1446.889 + 32.609


@pytest.mark.parametrize("spec", (SPEC, replace(SPEC, additives=(ACID,)), replace(SPEC, alkalis=BOTH)))
def test_either_route_arrives_at_the_wanted_superfat(spec):
    result = compute_formula(spec)
    routes = superfat_routes(spec, result, wanted_percent=dec(8))
    weights = {"NaOH": result.naoh_grams, "KOH": result.koh_grams}
    more_oils = replace(
        spec,
        superfat_fraction=None,
        fats=tuple(replace(fat, grams=oil.now_grams) for fat, oil in zip(spec.fats, routes.oils, strict=True)),
        alkalis=tuple(replace(alkali, grams=weights[alkali.kind]) for alkali in spec.alkalis),
    )
    assert abs(compute_formula(more_oils).superfat.planned - 8) < dec("1e-9")


def test_the_lye_for_an_acid_does_not_shrink_with_the_superfat():
    spec = replace(SPEC, additives=(ACID,))
    change = superfat_routes(spec, compute_formula(spec), wanted_percent=dec(8)).lye[0]
    for_acid = dec(20) * dec("0.62455") / dec("0.98")
    assert round((change.now_grams - for_acid) / (change.was_grams - for_acid), 6) == round(
        dec("0.92") / dec("0.95"), 6
    )


@pytest.mark.parametrize("wanted", ("0", "-1", "51"))
def test_a_superfat_that_no_bar_has_is_refused(wanted):
    with pytest.raises(FormulaError, match="Ask for a superfat above 0 and at most 50"):
        superfat_routes(SPEC, compute_formula(SPEC), wanted_percent=dec(wanted))


# Case C95: 4.05 oz of lye on a display of 0.1 oz is weighed as 4.0 oz, and the superfat rises from 5 to 6.2 %.
def test_case_c95_lye_is_rounded_down_and_the_superfat_that_results_is_shown():
    oils = dec("4.05") * OUNCE / dec("0.95") / dec("0.14")
    tenth = OUNCE / 10
    spec = FormulaSpec(
        "Case",
        dec("0.05"),
        (fat_by_factor("oils", str(oils), "0.14"),),
        (Alkali("NaOH"),),
        LiquidRule("liquid_to_lye", dec(2)),
    )
    fine = replace(STEPS, lye_grams=tenth, fat_grams=oils / 1000, finest_grams=tenth)
    batch = rounded_batch(spec, compute_formula(spec), fine)
    lye = batch.lines[0]
    assert (round(lye.exact_grams / OUNCE, 2), round(lye.rounded_grams / OUNCE, 2)) == (dec("4.05"), dec("4.00"))
    assert round(batch.superfat.planned, 1) == dec("6.2")
    # 164 steps at ± 0.5 %: 16.4 oz is the least such a scale weighs well.
    assert round(lye.smallest_grams / OUNCE, 1) == dec("16.4")
    assert "NaOH" in [line.name for line in batch.too_small]


def test_a_fine_scale_changes_next_to_nothing():
    batch = rounded_batch(SPEC, compute_formula(SPEC), STEPS)
    assert batch.lines[0].rounded_grams == dec("147.4")  # from 147.474, always down
    assert 0 < batch.superfat.planned - 5 < dec("0.1")
    assert batch.too_small == ()


def test_a_ready_solution_is_what_the_scale_shows():
    spec = replace(SPEC, stock_solution=StockSolution("NaOH", dec("0.5")))
    batch = rounded_batch(spec, compute_formula(spec), STEPS)
    assert (batch.lines[0].name, batch.lines[0].rounded_grams) == ("NaOH solution", dec("294.9"))  # 2 × 147.474
    assert 5 < batch.superfat.planned < dec("5.1")


def test_a_small_scent_is_said_to_be_too_small():
    spec = replace(SPEC, additives=(Additive("Fern", dec(3), is_scent=True),))
    # 41 steps of 0.1 g at ± 2 % is 4.1 g.
    assert [line.name for line in rounded_batch(spec, compute_formula(spec), STEPS).too_small] == ["Fern"]


def test_without_oils_there_is_nothing_to_round():
    assert rounded_batch(replace(SPEC, fats=()), compute_formula(replace(SPEC, fats=())), STEPS) is None
