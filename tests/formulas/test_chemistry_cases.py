"""Cases from the trade, with the alkali factors that each case gives; the sums were done by hand apart from this app.

Factors in g NaOH per g fat: coconut 0.1832, olive 0.1355, palm 0.1419, lard 0.1412, shea 0.1276, castor 0.1283,
mango 0.1333, almond 0.1390, avocado 0.1326, canola 0.1326. NaOH counts as pure unless a case says otherwise.
"""

from dataclasses import replace
from decimal import Decimal

import pytest

from formulas.chemistry import bench
from formulas.chemistry.acids import alkali_demand_g_naoh_per_g
from formulas.chemistry.alkali import purity_from_range
from formulas.chemistry.balance import dose_percents
from formulas.chemistry.compute import compute_formula
from formulas.chemistry.records import (
    Additive,
    Alkali,
    FormulaResult,
    FormulaSpec,
    Liquid,
    LiquidRule,
    Spread,
    StockSolution,
)
from formulas.chemistry.solution import measured_strength
from tests.formulas.chemistry_parts import (
    OUNCE,
    PURE_NAOH,
    codes,
    dec,
    fat_by_factor,
    pure_naoh,
    superfat_of,
)

FACTORS = {"coconut": "0.1832", "olive": "0.1355", "palm": "0.1419", "lard": "0.1412", "shea": "0.1276"}
FACTORS |= {"castor": "0.1283", "mango": "0.1333", "almond": "0.1390", "avocado": "0.1326", "canola": "0.1326"}
HALF_STOCK = StockSolution("NaOH", dec("0.5"))


def fats(**grams: str):
    return tuple(fat_by_factor(name, mass, FACTORS[name]) for name, mass in grams.items())


def ounces(amount: str) -> Decimal:
    return dec(amount) * OUNCE


def in_ounces(grams: Decimal | None) -> Decimal:
    return (grams or dec(0)) / OUNCE


def made_of(oils, naoh_grams: str | Decimal, liquid_to_lye: str = "2", **more) -> FormulaResult:
    spec = FormulaSpec("Case", None, oils, pure_naoh(naoh_grams), LiquidRule("liquid_to_lye", dec(liquid_to_lye)))
    return compute_formula(replace(spec, **more))


def from_stock(naoh_grams: Decimal, water_grams: Decimal) -> FormulaResult:
    """A recipe of so much NaOH and water, drawn from a 50 % stock solution; the oils fit at about 5 %."""
    oils = (fat_by_factor("oils", naoh_grams / dec("0.95") / dec("0.14"), "0.14"),)
    return made_of(oils, naoh_grams, str(water_grams / naoh_grams), stock_solution=HALF_STOCK)


def actual(oils, naoh_grams: str | Decimal, **more) -> Decimal:
    interval = bench.superfat_from_actuals(fats_as_weighed=oils, alkalis_as_weighed=pure_naoh(naoh_grams), **more)
    return interval.planned


def test_case_c01_dry_lye_and_water_become_stock_solution_and_water():
    result = from_stock(dec("267.0"), dec("427.2"))
    assert round(result.stock_solution_grams, 1) == dec("534.0")
    assert round(result.water_in_stock_grams, 1) == dec("267.0")
    assert round(result.water_grams, 1) == dec("160.2")
    assert round(result.stock_solution_grams + result.water_grams, 1) == dec("694.2")
    assert round(result.lye_concentration_percent, 1) == dec("38.5")
    assert result.dry_alkali_grams == 0


def test_case_c01_the_weigh_out_adds_up_to_the_batch():
    result = from_stock(dec("267.0"), dec("427.2"))
    assert abs(result.weigh_out_sum_grams - result.batch_grams) < dec("1e-9")


@pytest.mark.parametrize(
    ("lye", "water", "solution", "liquid", "total"),
    (("4.41", "10.56", "8.82", "6.15", "14.97"), ("4.2", "8.0", "8.4", "3.8", "12.2")),
)
def test_case_c02_stock_solution_and_liquid_in_ounces(lye, water, solution, liquid, total):
    result = from_stock(ounces(lye), ounces(water))
    assert round(in_ounces(result.stock_solution_grams), 2) == dec(solution)
    assert round(in_ounces(result.water_grams), 2) == dec(liquid)
    assert round(in_ounces(result.stock_solution_grams + result.water_grams), 2) == dec(total)


def test_case_c02_the_lye_is_29_percent_and_not_33():
    assert round(from_stock(ounces("4.41"), ounces("10.56")).lye_concentration_percent, 1) == dec("29.5")


def test_case_c03_a_stronger_stock_eats_into_the_superfat():
    oils = (fat_by_factor("oils", dec(50) / dec("0.95") / dec("0.14"), "0.14"),)
    strength = measured_strength(alkali_grams=dec(500), water_grams=dec(1000), steamed_off_grams=dec(12))
    drawn = bench.alkali_in_solution(
        "NaOH", solution_grams=dec(150), strength_fraction=strength, purity_fraction=Spread.exactly(dec(1))
    )
    interval = bench.superfat_from_actuals(fats_as_weighed=oils, alkalis_as_weighed=(drawn,))
    assert round(drawn.grams, 1) == dec("50.4")
    assert round(interval.planned, 1) == dec("4.2")


def potash_share(share: str, purity: Spread) -> FormulaSpec:
    oils = (fat_by_factor("olive", "1000", "0.1355"),)
    soda = Alkali("NaOH", 1 - dec(share))
    alkalis = (soda, Alkali("KOH", dec(share), purity)) if dec(share) < 1 else (Alkali("KOH", dec(1), purity),)
    return FormulaSpec("Case C05", dec("0.05"), oils, alkalis, LiquidRule("lye_concentration", dec(33)))


# Dosed as 90 % pure where it may be 100 %: a small share costs half a point, a pure potash soap is ruined.
@pytest.mark.parametrize(("share", "lowest"), (("0.05", "4.5"), ("1", "-5.6")))
def test_case_c05_dosing_on_the_low_end(share, lowest):
    spec = potash_share(share, Spread(dec("0.9"), dec("0.9"), dec(1)))
    assert round(superfat_of(compute_formula(spec)).lowest, 1) == dec(lowest)


def test_case_c05_a_range_alone_is_dosed_on_the_end_that_cannot_be_lye_heavy():
    purity = purity_from_range(dec("0.9"), dec(1))
    result = compute_formula(potash_share("1", purity))
    assert purity.plan == 1
    assert superfat_of(result).lowest == superfat_of(result).planned
    assert codes(result) == ["purity-planned-high"]


# Anhydrous or monohydrate: the sheet must say which is meant.
@pytest.mark.parametrize(("acid", "extra"), (("citric acid, anhydrous", "5.00"), ("citric acid monohydrate", "4.57")))
def test_case_c06_citric_acid_asks_for_more_lye(acid, extra):
    demand = alkali_demand_g_naoh_per_g(acid)
    oils = (fat_by_factor("oils", "794", str(dec(110) / dec("0.95") / 794)),)
    spec = FormulaSpec("Case C06", dec("0.05"), oils, PURE_NAOH, LiquidRule("liquid_to_lye", dec(2)))
    plain = compute_formula(spec)
    with_acid = compute_formula(replace(spec, additives=(Additive("Citric acid", dec(8), demand),)))
    assert round(plain.naoh_grams, 6) == dec(110)
    assert round(with_acid.naoh_grams - plain.naoh_grams, 2) == dec(extra)


def test_case_c06_leaving_the_extra_lye_out_raises_the_superfat():
    oils = (fat_by_factor("oils", "794", str(dec(110) / dec("0.95") / 794)),)
    spec = FormulaSpec("Case C06", dec("0.05"), oils, PURE_NAOH, LiquidRule("liquid_to_lye", dec(2)))
    acid = Additive("Citric acid", dec(8), alkali_demand_g_naoh_per_g("citric acid, anhydrous"))
    result = compute_formula(replace(spec, additives=(acid,)))
    assert round(result.superfat_without_acid_lye_percent, 1) == dec("9.3")


@pytest.mark.parametrize(
    ("grams", "acid", "naoh", "places"),
    (
        ("18.14", "citric acid, anhydrous", "11.3", 1),
        ("0.5", "citric acid monohydrate", "0.2855", 4),
        ("8.5", "citric acid, anhydrous", "5.31", 2),
    ),
)
def test_case_c07_the_sums_that_slip(grams, acid, naoh, places):
    assert round(dec(grams) * alkali_demand_g_naoh_per_g(acid), places) == dec(naoh)


def test_case_c07_with_two_alkalis_the_acid_goes_to_the_naoh():
    acid = Additive("Citric acid", dec("18.14"), alkali_demand_g_naoh_per_g("citric acid, anhydrous"))
    spec = potash_share("0.1", Spread.exactly(dec(1)))
    plain, sour = compute_formula(spec), compute_formula(replace(spec, additives=(acid,)))
    assert sour.koh_grams == plain.koh_grams
    assert round(sour.naoh_grams - plain.naoh_grams, 1) == dec("11.3")


def vinegar_soap(**more) -> FormulaSpec:
    vinegar = Additive("Vinegar, 5 %", dec("124.1"), dec("0.0333"), water_fraction=dec("0.95"))
    spec = FormulaSpec(
        "Case C08",
        None,
        fats(olive="500"),
        pure_naoh("71.6"),
        LiquidRule("liquid_to_lye", dec(2)),
        additives=(vinegar,),
    )
    return replace(spec, **more)


def test_case_c08_the_vinegar_sum_is_right_and_the_superfat_is_nearly_nothing():
    result = compute_formula(vinegar_soap())
    assert round(result.naoh_for_acids_grams, 2) == dec("4.13")
    assert round(superfat_of(result).planned, 1) == dec("0.4")


@pytest.mark.parametrize(("floor", "expected"), (("0.02", ["superfat-below-floor"]), ("0", []), ("0.003", [])))
def test_case_c08_below_the_workshops_floor_a_reason_is_asked_for(floor, expected):
    result = compute_formula(vinegar_soap(least_superfat_fraction=dec(floor)))
    assert codes(result, "ask") == expected


def test_case_c08_vinegar_as_the_liquid_is_reckoned_on_the_lye_for_the_fats():
    """Liquid 190 g is 2.821 times 67.4 g, not times 71.6 g: the lye for the vinegar's acid asks for no more liquid."""
    vinegar = Liquid("Vinegar, 5 %", water_fraction=dec("0.95"), alkali_demand_g_naoh_per_g=dec("0.0333"))
    oils = (fat_by_factor("olive", "500", str(dec("67.4") / 500 / dec("0.95"))),)
    rule = LiquidRule("liquid_to_lye", dec("2.821"))
    result = compute_formula(FormulaSpec("Case C08", dec("0.05"), oils, PURE_NAOH, rule, liquids=(vinegar,)))
    assert round(dict(result.liquids)["Vinegar, 5 %"] * dec("0.95")) == dec(190)
    assert round(superfat_of(result).planned, 6) == 5


def test_case_c20_beer_simmered_down_beside_a_stock_solution():
    """60 g lye and 60 g water as stock, 40 g reduced beer counted as water: 160 g in all, 37.5 %."""
    beer = Liquid("Reduced beer")
    oils = (fat_by_factor("oils", "450", "0.14"),)
    result = made_of(
        oils,
        "60",
        str(dec(100) / 60),
        stock_solution=HALF_STOCK,
        liquids=(beer,),
    )
    assert round(result.stock_solution_grams) == 120
    assert [(name, round(grams)) for name, grams in result.liquids] == [("Reduced beer", 40)]
    assert round(result.stock_solution_grams + result.liquids[0][1]) == 160
    assert round(result.lye_concentration_percent, 1) == dec("37.5")
    assert result.water_grams == 0


def test_case_c21_aloe_and_stock_solution():
    oils = fats(mango="88", shea="45", coconut="201", olive="391", almond="88", castor="57")
    aloe = Liquid("Aloe juice", water_fraction=dec(1))
    ratio = str((dec("120.5") + 120) / dec("120.5"))
    result = made_of(oils, "120.5", ratio, stock_solution=HALF_STOCK, liquids=(aloe,))
    assert round(result.oils_grams) == 870
    assert round(result.pure_naoh_at_zero_superfat_grams, 1) == dec("126.8")
    assert round(superfat_of(result).planned, 1) == dec("5.0")
    assert round(result.stock_solution_grams) == 241
    assert round(dict(result.liquids)["Aloe juice"]) == 120
    assert round(result.lye_concentration_percent, 1) == dec("33.4")


def test_case_c21_scent_against_oils_and_against_the_cured_bar():
    """52 g on 870 g oils is 6.0 %; on 1146 g cured it is about 4.5 %."""
    percents = dose_percents(dec(52), oils=dec(870), batch=dec(870 + 241 + 120 + 52), cured=dec(1146))
    assert round(percents["oils"], 1) == dec("6.0")
    assert round(percents["cured"], 1) == dec("4.5")


def test_case_c44_a_dose_from_a_percentage():
    """3 % of 26 oz oils is 0.78 oz; the parts add up to 38.11 oz."""
    assert round(dose_percents(dec("0.78"), oils=dec(26), batch=dec("38.89"), cured=dec(35))["oils"], 6) == 3
    oils = (fat_by_factor("oils", ounces("26"), "0.152"),)
    result = made_of(oils, ounces("3.74"), str(dec("8.37") / dec("3.74")))
    assert round(in_ounces(result.batch_grams), 2) == dec("38.11")
    assert round(superfat_of(result).planned, 1) == dec("5.4")
