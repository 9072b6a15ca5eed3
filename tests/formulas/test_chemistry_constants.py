"""Molar masses against molmass, iodine factors against the AOCS text, limits against their sources."""

from decimal import Decimal

import pytest
from molmass import Formula

from formulas.chemistry import constants
from formulas.chemistry.acids import ACIDS, alkali_demand_g_naoh_per_g, as_koh, sodium_citrate_grams
from formulas.chemistry.alkali import equivalent_share_of_mass_split, saponification_equivalent
from formulas.chemistry.fatty_acids import bound_acid_iodine_factor, free_acid_iodine_factor
from formulas.chemistry.figures import FATTY_ACIDS_G_PER_MOL, IODINE_FACTORS
from tests.formulas.chemistry_parts import dec

HALF_A_UNIT = Decimal("0.00006")  # of the last digit kept here


def fatty_acid_formula(name: str) -> str:
    """Return the sum formula of an acid such as C18:1-OH."""
    carbons, rest = name.removeprefix("C").split(":")
    double_bonds, _, hydroxy = rest.partition("-")
    hydrogens = 2 * int(carbons) - 2 * int(double_bonds)
    return f"C{carbons}H{hydrogens}O{3 if hydroxy else 2}"


@pytest.mark.parametrize("name", FATTY_ACIDS_G_PER_MOL)
def test_fatty_acids_weigh_what_molmass_says(name):
    assert abs(FATTY_ACIDS_G_PER_MOL[name] - dec(Formula(fatty_acid_formula(name)).mass)) < HALF_A_UNIT


@pytest.mark.parametrize(
    ("ours", "formula"),
    (
        pytest.param(constants.NAOH_G_PER_MOL, "NaOH", id="sodium hydroxide"),
        pytest.param(constants.KOH_G_PER_MOL, "KOH", id="potassium hydroxide"),
        pytest.param(constants.WATER_G_PER_MOL, "H2O", id="water"),
        pytest.param(constants.GLYCEROL_G_PER_MOL, "C3H8O3", id="glycerol"),
        pytest.param(constants.IODINE_G_PER_MOL, "I2", id="iodine"),
        pytest.param(ACIDS["citric acid, anhydrous"][0], "C6H8O7", id="citric acid"),
        pytest.param(ACIDS["citric acid monohydrate"][0], "C6H10O8", id="citric acid monohydrate"),
        pytest.param(ACIDS["lactic acid"][0], "C3H6O3", id="lactic acid"),
        pytest.param(ACIDS["acetic acid"][0], "C2H4O2", id="acetic acid"),
        pytest.param(ACIDS["tartaric acid"][0], "C4H6O6", id="tartaric acid"),
        pytest.param(ACIDS["ascorbic acid"][0], "C6H8O6", id="ascorbic acid"),
        pytest.param(ACIDS["stearic acid"][0], "C18H36O2", id="stearic acid"),
        pytest.param(ACIDS["sodium hydrogen carbonate"][0], "NaHCO3", id="sodium hydrogen carbonate"),
        pytest.param(ACIDS["EDTA, free acid"][0], "C10H16N2O8", id="EDTA"),
        pytest.param(ACIDS["disodium EDTA dihydrate"][0], "C10H18N2Na2O10", id="disodium EDTA dihydrate"),
    ),
)
def test_substances_weigh_what_molmass_says(ours, formula):
    assert abs(ours - dec(Formula(formula).mass)) < HALF_A_UNIT


# AOCS Recommended Practice Cd 1c-85 (reapproved 2009), calculations; within one unit of the last printed digit.
@pytest.mark.parametrize(
    ("acid", "bound", "free"),
    (
        ("C16:1", "0.950", "0.9976"),
        ("C18:1", "0.860", "0.8986"),
        ("C18:2", "1.732", "1.810"),
        ("C18:3", "2.616", "2.735"),
        ("C20:1", "0.785", "0.8175"),
        ("C22:1", "0.723", "0.7497"),
    ),
)
def test_iodine_factors_are_those_of_the_standard(acid, bound, free):
    assert IODINE_FACTORS[acid] == dec(bound)
    assert abs(bound_acid_iodine_factor(acid) - dec(bound)) <= dec("0.001")
    places = -dec(free).as_tuple().exponent
    assert abs(round(free_acid_iodine_factor(acid), places) - dec(free)) <= dec(1).scaleb(-places)


def test_the_factor_of_ricinoleic_acid_is_derived():
    """Not in the AOCS text; 3 x I2 / molar mass of triricinolein, by molmass."""
    triricinolein = dec(Formula("C57H104O9").mass)
    assert round(300 * dec(Formula("I2").mass) / triricinolein / 100, 4) == IODINE_FACTORS["C18:1-OH"]


# Stoichiometry on IUPAC weights through molmass, worked out apart from this app; within one unit of the last digit.
@pytest.mark.parametrize(
    ("acid", "strength", "as_naoh", "potash"),
    (
        ("citric acid, anhydrous", "1", "0.62455", "0.87609"),
        ("citric acid monohydrate", "1", "0.57101", "0.80098"),
        ("lactic acid", "1", "0.44403", "0.62286"),
        ("lactic acid", "0.8", "0.35522", "0.49829"),
        ("acetic acid", "1", "0.66604", "0.93428"),
        ("acetic acid", "0.05", "0.03330", "0.04671"),
        ("tartaric acid", "1", "0.53299", "0.74764"),
        ("ascorbic acid", "1", "0.22710", "0.31856"),
        ("stearic acid", "1", "0.14060", "0.19722"),
        ("sodium hydrogen carbonate", "1", "0.47612", "0.66787"),
        ("EDTA, free acid", "1", "0.54745", "0.76793"),
        ("disodium EDTA dihydrate", "1", "0.21490", "0.30145"),
    ),
)
def test_acids_take_up_their_equivalents(acid, strength, as_naoh, potash):
    demand = alkali_demand_g_naoh_per_g(acid, dec(strength))
    assert abs(demand - dec(as_naoh)) <= dec("0.00001")
    assert abs(as_koh(demand) - dec(potash)) <= dec("0.00001")


def test_citric_acid_becomes_citrate():
    """1.3432 g anhydrous or 1.5308 g as dihydrate per gram: stoichiometry through molmass."""
    assert round(sodium_citrate_grams(dec(1)), 4) == dec("1.3432")
    assert round(sodium_citrate_grams(dec(1), dihydrate=True), 4) == dec("1.5308")


def test_an_equivalent_of_the_usual_olive_oil():
    """56105.6 / 190, worked by hand."""
    assert round(saponification_equivalent(dec(190)), 4) == dec("295.2926")


def test_a_mass_split_is_not_a_split_by_equivalents():
    """case-C05: with 95 to 5 by weight the KOH does 3.6 % of the work."""
    assert round(100 * (1 - equivalent_share_of_mass_split(dec("0.95"))), 1) == dec("3.6")
