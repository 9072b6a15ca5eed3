"""What single fats and doses are said about: much castor, honey by the spoon, units that are easily mixed up."""

from decimal import Decimal

import pytest

from formulas.chemistry.compute import compute_formula
from formulas.chemistry.records import Fat, FormulaSpec, LiquidRule, Spread
from formulas.doses import Dose, Pot, dose_sheet
from formulas.weighing import pot_difference_grams, running_totals
from soapshop.quantity import QuantityRefused, mass_grams
from tests.formulas.chemistry_parts import OUNCE, PURE_NAOH, codes, dec

OLIVE = Fat("Olive", dec(1000), Spread(dec(184), dec(190), dec(196)), fatty_acids_percent={"C18:1": dec(100)})
CASTOR = Fat("Castor", dec(1), Spread(dec(176), dec(181), dec(187)), fatty_acids_percent={"C18:1-OH": dec(88)})


def with_castor(percent: str) -> FormulaSpec:
    share = dec(percent) / 100
    fats = (
        Fat(OLIVE.name, 1000 * (1 - share), OLIVE.sap_koh_mg_per_g, fatty_acids_percent=OLIVE.fatty_acids_percent),
        Fat(CASTOR.name, 1000 * share, CASTOR.sap_koh_mg_per_g, fatty_acids_percent=CASTOR.fatty_acids_percent),
    )
    return FormulaSpec("Case C23", dec("0.08"), fats, PURE_NAOH, LiquidRule("lye_concentration", dec(33)))


# Case C23: 15 % castor stuck in the mold for a week, 23 % was fine elsewhere; 5 to 8 % is usual. Told, never forbidden.
@pytest.mark.parametrize(("percent", "told"), (("15", True), ("23", True), ("8", False), ("5", False)))
def test_case_c23_much_castor_is_told_and_not_forbidden(percent, told):
    result = compute_formula(with_castor(percent))
    assert ("castor-much" in codes(result)) is told
    assert result.stops == ()


COCONUT = {"C12:0": dec("47.4"), "C14:0": dec("17.85")}  # USDA FoodData Central, SR Legacy 04047


# Case C24: a bar of coconut alone must be cut within hours; 30 % coconut is an ordinary bar.
@pytest.mark.parametrize(("percent", "told"), (("100", True), ("80", True), ("70", False), ("30", False)))
def test_case_c24_a_coconut_loaf_is_cut_within_hours(percent, told):
    share = dec(percent) / 100
    coconut = Fat("Coconut", 1000 * share, Spread(dec(248), dec(257), dec(265)), fatty_acids_percent=COCONUT)
    olive = Fat(OLIVE.name, 1000 * (1 - share), OLIVE.sap_koh_mg_per_g, fatty_acids_percent=OLIVE.fatty_acids_percent)
    fats = (coconut, olive) if share < 1 else (coconut,)
    spec = FormulaSpec("Case C24", dec("0.2"), fats, PURE_NAOH, LiquidRule("lye_concentration", dec(33)))
    assert ("cut-within-hours" in codes(compute_formula(spec))) is told


# Case C22: two tablespoons of honey (42 g) a pound of oils is 9.3 %, twice the highest habit of 1 tablespoon, 4.6 %.
@pytest.mark.parametrize(("spoons", "percent", "asked"), (("2 tbsp", "9.3", True), ("1 tbsp", "4.6", False)))
def test_case_c22_honey_by_the_spoon(spoons, percent, asked):
    # A tablespoon of 14.787 ml that weighs 21 g: 1.42 g a milliliter.
    grams = mass_grams(spoons, density_g_per_ml=dec("1.42"))
    honey = Dose("Honey", grams, usual_low_percent=dec(1), usual_high_percent=dec(5), basis="oils")
    sheet = dose_sheet((honey,), Pot(16 * OUNCE, 24 * OUNCE, 19 * OUNCE))
    assert round(sheet.rows[0].percent_of_oils, 1) == dec(percent)
    assert ([finding.code for finding in sheet.findings] == ["dose-above-usual"]) is asked


# Case C85: one US fluid ounce of olive oil (0.915 g a milliliter) is 27.1 g, 0.9545 oz by weight (printed as 0.954).
def test_case_c85_a_fluid_ounce_is_not_an_ounce():
    grams = mass_grams("1 fl oz", density_g_per_ml=dec("0.915"))
    assert (round(grams, 1), round(grams / OUNCE, 4)) == (dec("27.1"), dec("0.9545"))
    assert round(mass_grams("1 oz"), 2) == dec("28.35")


def test_case_c85_a_fluid_ounce_without_a_density_is_no_weight():
    with pytest.raises(QuantityRefused):
        mass_grams("1 fl oz")


# Case C94: 300 oz where 300 g were meant shows at once against the running total.
def test_case_c94_a_switched_unit_shows_in_the_running_total():
    planned = (dec(400), dec(300), dec(300))
    assert running_totals(planned) == (dec(400), dec(700), dec(1000))
    assert pot_difference_grams(dec(400) + 300 * OUNCE, planned[:2], dec(1)) > 8000
    assert pot_difference_grams(dec(701), planned[:2], dec(1)) == Decimal(0)
