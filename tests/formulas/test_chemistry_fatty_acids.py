"""Fatty acid make-up of fats and blends, and what stays unknown."""

from dataclasses import replace

import pytest

from formulas.chemistry.fatty_acids import (
    blend_fatty_acids,
    blend_iodine_value,
    fatty_acid_name,
    group_percents,
    iodine_value_of,
    mean_molar_mass,
    sap_from_fatty_acids,
)
from formulas.chemistry.records import FormulaError
from tests.formulas.chemistry_parts import RECIPE_R, composition, dec, fat, recipe_r, table

COMPOSITIONS = {row["oil"]: composition(row) for row in table("usda_compositions.csv")}


# Iodine values reckoned from USDA SR18 compositions with the AOCS factors, apart from this app. Olive and canola count
# 0.15 and 0.21 % other acids there, which the table here does not itemize.
@pytest.mark.parametrize(
    ("oil", "iodine_value"),
    (
        ("coconut", "8.6"),
        ("palm_kernel", "13.3"),
        ("palm", "50.6"),
        ("olive", "83.9"),
        ("sunflower", "136.6"),
        ("canola", "115.1"),
        ("soybean", "132.4"),
        ("lard", "62.2"),
        ("tallow_beef", "45.5"),
        ("cocoa", "35.3"),
        ("butterfat", "34.5"),
    ),
)
def test_iodine_values_of_measured_compositions(oil, iodine_value):
    made_up = fat(oil, "100", "190", "190", fatty_acids_percent=COMPOSITIONS[oil])
    assert abs(iodine_value_of(made_up) - dec(iodine_value)) <= dec("0.2")


def test_a_given_iodine_value_wins_over_the_make_up():
    given = fat("Olive oil", "100", "187", "196", iodine_value=dec(82), fatty_acids_percent=COMPOSITIONS["olive"])
    assert iodine_value_of(given) == 82


@pytest.mark.parametrize(("oil", "g_per_mol"), (("coconut", "205.91"), ("olive", "278.97"), ("palm", "269.02")))
def test_the_mean_molar_mass_is_the_number_average(oil, g_per_mol):
    """Reckoned apart from this app from USDA SR18 compositions."""
    assert abs(mean_molar_mass(COMPOSITIONS[oil]) - dec(g_per_mol)) < dec("0.03")


def test_unsaponifiables_lower_the_sap():
    """Shea: its composition gives 192.2 (USDA SR18); 7 % unsaponifiables leave 178.7, as the samples of 1908 have."""
    shea = {"C18:0": dec("41.36"), "C18:1": dec("46.38"), "C18:2": dec("5.22"), "C16:0": dec("4.69")}
    shea |= {"C14:0": dec("1.39"), "C12:0": dec("0.21"), "C10:0": dec("0.21"), "C18:3": dec("0.32")}
    whole = sap_from_fatty_acids(shea)
    assert round(whole, 0) == dec(192)
    assert sap_from_fatty_acids(shea, dec("0.07")) == whole * dec("0.93")


def test_one_unknown_fat_makes_the_blend_unknown():
    olive, coconut, palm = RECIPE_R.fats
    known = replace(olive, fatty_acids_percent=COMPOSITIONS["olive"])
    assert blend_fatty_acids((known,)) is not None
    assert blend_fatty_acids((known, coconut)) is None
    assert blend_iodine_value((known, palm)) is None
    assert recipe_r(fats=(known, coconut, palm)).fatty_acids is None


def test_a_fragment_of_a_make_up_is_not_a_make_up():
    part = fat("Olive oil", "100", "187", "196", fatty_acids_percent={"C18:1": dec(70)})
    assert iodine_value_of(part) is None


@pytest.mark.parametrize("spelling", ("C18:1-OH", "c18_1_oh", "18:1-oh", "C18:1_OH"))
def test_spellings_of_an_acid(spelling):
    assert fatty_acid_name(spelling) == "C18:1-OH"


def test_groups_of_coconut_oil():
    """USDA SR18: 0.64 + 7.97 + 6.38; 47.4 + 17.85; 8.71 + 2.98; 6.16; none; 1.91, added up by hand."""
    percents = [percent for _, percent in group_percents(COMPOSITIONS["coconut"])]
    assert percents == [dec(sum_) for sum_ in ("14.99", "65.25", "11.69", "6.16", "0", "1.91")]


def test_every_acid_belongs_to_one_group():
    everything = dict.fromkeys(COMPOSITIONS["coconut"], dec(1)) | {"C18:1-OH": dec(1), "C24:0": dec(1)}
    assert sum(percent for _, percent in group_percents(everything)) == len(everything)


def test_nothing_to_reckon_from_is_refused():
    with pytest.raises(FormulaError, match="no fatty acids"):
        sap_from_fatty_acids({})
