"""The lye: density and heat from the published tables, stock solutions from their weighing."""

import pytest

from formulas.chemistry.solution import (
    heat_of_solution,
    lye_density,
    lye_heat_capacity,
    measured_strength,
    strength_from_weighing,
)
from tests.formulas.chemistry_parts import dec, table


@pytest.mark.parametrize("percent", sorted({row["naoh_percent"] for row in table("naoh_solutions.csv")}, key=float))
def test_density_is_that_of_the_table(percent):
    rows = [row for row in table("naoh_solutions.csv") if row["naoh_percent"] == percent]
    ours = [lye_density(dec(percent), dec(row["celsius"])) for row in rows]
    assert ours == [dec(row["density_g_per_ml"]) for row in rows]


def test_density_between_two_rows_lies_between_them():
    """Half way between 42 % (1.4450) and 45 % (1.4726) at 20 C is 1.4588: worked by hand from the table."""
    assert lye_density(dec("43.5"), dec(20)) == dec("1.4588")


# Figures quoted beside the correlation: 1908 textbook table within 0.35 % up to 35 %, 0.5 to 0.8 % below it above.
@pytest.mark.parametrize(("percent", "celsius", "density"), (("33", "20", "1.3566"), ("33", "40", "1.3495")))
def test_density_of_an_ordinary_lye(percent, celsius, density):
    assert lye_density(dec(percent), dec(celsius)) == dec(density)


@pytest.mark.parametrize(("percent", "celsius"), (("1.9", "20"), ("50.1", "20"), ("33", "9"), ("33", "81")))
def test_density_outside_the_table_is_not_known(percent, celsius):
    assert lye_density(dec(percent), dec(celsius)) is None


def test_heat_capacity_outside_the_table_is_not_known():
    assert lye_heat_capacity(dec(51)) is None
    assert lye_heat_capacity(dec(50)) == dec("3.45")  # same correlation as the density


# Integral heats of solution at 25 C: from memory of a process-engineering table; the limit after NSRDS-NBS 2 (1965).
@pytest.mark.parametrize(
    ("water_mol", "kj"),
    (
        pytest.param("3", "28.87", id="3 mol"),
        pytest.param("4.5", "36.085", id="half way from 4 to 5 mol"),
        pytest.param("2", "28.87", id="less than the table has: a ceiling"),
        pytest.param("500", "44.51", id="endless water"),
    ),
)
def test_heat_of_solution(water_mol, kj):
    assert heat_of_solution(dec(water_mol)) == dec(kj)


def test_potash_sets_more_heat_free():
    """57.61 kJ/mol in endless water: handbook table after NSRDS-NBS 2 (1965)."""
    assert heat_of_solution(dec(5), kind="KOH") == dec("57.61")


def test_stock_solution_that_lost_steam_is_stronger():
    """case-C03: 500 g NaOH and 1000 g water, 12 g steamed off, 500/1488 = 33.6 %."""
    strength = measured_strength(alkali_grams=dec(500), water_grams=dec(1000), steamed_off_grams=dec(12))
    assert round(100 * strength, 1) == dec("33.6")
    assert strength == strength_from_weighing(
        alkali_grams=dec(500), tare_grams=dec(240), cooled_gross_grams=dec(240 + 1488)
    )
