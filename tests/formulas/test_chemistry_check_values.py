"""Every check value of the chemistry, from a table worked out apart from this app."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from functools import cache

import pytest

from formulas.chemistry import balance, batter, bench, solution
from formulas.chemistry.acids import alkali_demand_g_naoh_per_g, as_koh
from formulas.chemistry.alkali import koh_grams_for, naoh_grams_for, split_by_mass
from formulas.chemistry.fatty_acids import (
    blend_fatty_acids,
    blend_iodine_value,
    iodine_value_from_fatty_acids,
    sap_from_fatty_acids,
)
from formulas.chemistry.records import Additive, Alkali, FormulaResult, Spread
from tests.formulas.chemistry_parts import (
    GOAT_MILK,
    PURE_NAOH,
    RECIPE_R,
    composition,
    dec,
    fat,
    recipe_r,
    superfat_of,
    table,
)

CITRIC_ACID = Additive("Citric acid, anhydrous", dec(20), dec("0.62455"))
COMPOSITIONS = {row["oil"]: composition(row) for row in table("usda_compositions.csv")}
OILS_IN_ORDER = (
    *("coconut", "palm_kernel", "palm", "olive", "sunflower", "sunflower_high"),
    *("canola", "soybean", "lard", "tallow_beef", "cocoa", "butterfat"),
)
CASTOR_MODEL = {"C18:1-OH": "88.5", "C18:1": "4.0", "C18:2": "4.5", "C16:0": "1.2", "C18:0": "1.3", "C18:3": "0.5"}


@cache
def plain() -> FormulaResult:
    return recipe_r()


@cache
def with_milk() -> FormulaResult:
    return recipe_r(liquids=(GOAT_MILK,))


@cache
def with_potash() -> FormulaResult:
    soda = replace(RECIPE_R.alkalis[0], share_fraction=dec("0.9"))
    return recipe_r(alkalis=(soda, Alkali("KOH", dec("0.1"), Spread.exactly(dec("0.9")))))


def bar(moisture: str) -> Decimal:
    return balance.cured_bar_mass(plain().batch_grams, plain().water_in_batch_grams, dec(moisture))


def naoh(grams: str, sap: str) -> Decimal:
    return naoh_grams_for(dec(grams), dec(sap))


def acid(name: str, grams: str, strength: str = "1") -> Decimal:
    return dec(grams) * alkali_demand_g_naoh_per_g(name, dec(strength))


def pure_sap(name: str) -> Decimal:
    return sap_from_fatty_acids({name: dec(100)})


def whole_oil() -> FormulaResult:
    """1000 g oil of SAP 190 with its alkali to the last gram; refused as a formula, but reckoned."""
    oil = fat("Oil", "1000", "190", "190")
    return recipe_r(fats=(oil,), alkalis=PURE_NAOH, superfat_fraction=dec(0))


def closure_of_whole_oil() -> Decimal:
    result = whole_oil()
    return 1000 + result.naoh_grams - result.glycerin_grams - result.soap_grams


def over_weighed() -> Decimal:
    return superfat_of(recipe_r(weighing_error_fraction=dec("0.005"))).lowest


def forgotten_lye() -> Decimal:
    """The 20 g of acid go in, but the NaOH is what recipe R takes without it."""
    soda = replace(RECIPE_R.alkalis[0], grams=plain().naoh_grams)
    return bench.superfat_from_actuals(
        fats_as_weighed=RECIPE_R.fats, alkalis_as_weighed=(soda,), additives_as_weighed=(CITRIC_ACID,)
    ).planned


def blended(name: str) -> Decimal:
    fats = tuple(
        replace(oil, fatty_acids_percent=COMPOSITIONS[key])
        for oil, key in zip(RECIPE_R.fats, ("olive", "coconut", "palm"), strict=True)
    )
    return dict(blend_fatty_acids(fats))[name]


def blended_iodine() -> Decimal:
    fats = tuple(
        replace(oil, fatty_acids_percent=COMPOSITIONS[key])
        for oil, key in zip(RECIPE_R.fats, ("olive", "coconut", "palm"), strict=True)
    )
    return blend_iodine_value(fats)


CHECKS: dict[str, Callable[[], Decimal]] = {
    "chem-C01": lambda: naoh_grams_for(dec(1), dec(1000)),
    "chem-C02": lambda: naoh("100", "190"),
    "chem-C03": lambda: koh_grams_for(dec(100), dec(190)),
    "chem-C04": lambda: naoh("1000", "256.5"),
    "chem-C05": lambda: naoh("1000", "181.5"),
    "chem-C06": lambda: naoh("1000", "95.5"),
    "chem-C07": lambda: naoh("1000", "92.2"),
    "chem-C08": lambda: acid("citric acid, anhydrous", "10"),
    "chem-C09": lambda: acid("citric acid monohydrate", "10"),
    "chem-C10": lambda: as_koh(acid("citric acid, anhydrous", "10")),
    "chem-C11": lambda: acid("lactic acid", "10"),
    "chem-C12": lambda: acid("acetic acid", "100", "0.05"),
    "chem-C13": lambda: acid("stearic acid", "10"),
    "chem-C14": lambda: whole_oil().glycerin_grams,
    "chem-C15": lambda: whole_oil().soap_grams,
    "chem-C16": closure_of_whole_oil,
    "chem-C17": lambda: pure_sap("C18:1"),
    "chem-C18": lambda: pure_sap("C18:0"),
    "chem-C19": lambda: pure_sap("C12:0"),
    "chem-C20": lambda: iodine_value_from_fatty_acids({"C18:1": dec(100)}),
    "chem-C21": lambda: iodine_value_from_fatty_acids({"C18:2": dec(100)}),
    **{
        f"chem-C{number}": lambda oil=oil: sap_from_fatty_acids(COMPOSITIONS[oil])
        for number, oil in enumerate(OILS_IN_ORDER, start=22)
    },
    "chem-C34": lambda: sap_from_fatty_acids({name: dec(percent) for name, percent in CASTOR_MODEL.items()}),
    "chem-R01": lambda: plain().koh_demand_grams,
    "chem-R02": lambda: plain().pure_naoh_at_zero_superfat_grams,
    "chem-R03": lambda: plain().pure_naoh_grams,
    "chem-R04": lambda: plain().naoh_grams,
    "chem-R05": lambda: plain().water_grams,
    "chem-R06": lambda: plain().batch_grams,
    "chem-R07": lambda: plain().water_percent_of_batch,
    "chem-R08": lambda: superfat_of(plain()).lowest,
    "chem-R09": lambda: superfat_of(plain()).highest,
    "chem-R10": lambda: superfat_of(plain()).smallest_safe_plan,
    "chem-R11": over_weighed,
    "chem-R12": lambda: superfat_of(plain()).standard_deviation,
    "chem-R13": lambda: plain().glycerin_grams,
    "chem-R14": lambda: plain().soap_grams,
    "chem-R15": lambda: plain().mass_balance_residual_grams,
    "chem-R16_8": lambda: bar("0.08"),
    "chem-R16_10": lambda: bar("0.10"),
    "chem-R16_12": lambda: bar("0.12"),
    "chem-R16_15": lambda: bar("0.15"),
    "chem-R17": lambda: plain().total_fatty_matter_grams,
    "chem-R18": lambda: 100 * plain().total_fatty_matter_grams / bar("0.10"),
    "chem-R19": lambda: plain().lye_density_g_per_ml,
    "chem-R20": lambda: batter.oil_volume_ml(RECIPE_R.fats),
    "chem-R21": lambda: plain().batter_volume_ml,
    "chem-R22": lambda: plain().batter_density_g_per_ml,
    "chem-R23": lambda: plain().oils_per_ml,
    "chem-R24": lambda: plain().water_mol_per_alkali_mol,
    "chem-R25": lambda: plain().dissolving_heat_kj,
    "chem-R26": lambda: plain().lye_temperature_rise,
    "chem-R27": blended_iodine,
    "chem-R28_12_0": lambda: blended("C12:0"),
    "chem-R28_14_0": lambda: blended("C14:0"),
    "chem-R28_16_0": lambda: blended("C16:0"),
    "chem-R28_18_0": lambda: blended("C18:0"),
    "chem-R28_18_1": lambda: blended("C18:1"),
    "chem-R28_18_2": lambda: blended("C18:2"),
    "chem-R29": lambda: recipe_r(additives=(CITRIC_ACID,)).naoh_grams,
    "chem-R30": forgotten_lye,
    "chem-R31": lambda: dict(with_milk().liquids)["Goat milk"],
    "chem-R32": lambda: with_milk().fat_in_liquids_grams,
    "chem-R33": lambda: with_milk().superfat_ignoring_liquid_fat_percent,
    "chem-R34": lambda: with_milk().naoh_grams,
    "chem-R35": lambda: with_potash().naoh_grams,
    "chem-R36": lambda: with_potash().koh_grams,
    "chem-R37": lambda: split_by_mass(plain().pure_naoh_grams / dec("39.9971"), naoh_mass_fraction=dec("0.9"))["NaOH"],
    "chem-R38": lambda: split_by_mass(plain().pure_naoh_grams / dec("39.9971"), naoh_mass_fraction=dec("0.9"))["KOH"],
    "chem-R39": lambda: (
        100
        * bench.superfat_at_free_alkali(
            dec("0.1"), naoh_at_zero_superfat_grams=plain().pure_naoh_at_zero_superfat_grams, bar_grams=bar("0.10")
        )
    ),
    "chem-R40": lambda: bench.free_alkali_percent(
        over_weighed() / 100,
        naoh_at_zero_superfat_grams=plain().pure_naoh_at_zero_superfat_grams,
        bar_grams=bar("0.10"),
    ),
}


@pytest.mark.parametrize("row", table("chem_check_values.csv"), ids=lambda row: row["id"])
def test_the_chemistry_gives_the_check_value(row):
    assert abs(CHECKS[row["id"]]() - dec(row["expected"])) <= dec(row["tolerance"])


def test_every_check_value_is_used():
    assert sorted(CHECKS) == sorted(row["id"] for row in table("chem_check_values.csv"))


# The losses beside the bar masses and the further figures of recipe R, from the same source as the table.
@pytest.mark.parametrize(
    ("moisture", "loss"),
    (("0.08", "13.80"), ("0.10", "11.88"), ("0.12", "9.88"), ("0.15", "6.70")),
)
def test_the_weight_loss_of_recipe_r(moisture, loss):
    lost = balance.weight_loss_fraction(plain().batch_grams, plain().water_in_batch_grams, dec(moisture))
    assert round(100 * lost, 2) == dec(loss)


@pytest.mark.parametrize(("moisture", "percent"), (("0.15", "70.5"), ("0.08", "76.3")))
def test_the_total_fatty_matter_of_recipe_r(moisture, percent):
    assert round(100 * plain().total_fatty_matter_grams / bar(moisture), 1) == dec(percent)


def test_the_heat_ceiling_in_endless_water_is_higher():
    """100.5 K with -44.51 kJ/mol: same source as the table."""
    mol = plain().pure_naoh_grams / dec("39.9971")
    rise = solution.temperature_rise(
        mol * dec("44.51"),
        lye_grams=plain().naoh_grams + plain().water_grams,
        heat_capacity=dec("3.582"),
    )
    assert round(rise, 1) == dec("100.5")
