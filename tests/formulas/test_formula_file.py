"""Formula files: what is read, what the sheet says, where the material book steps in."""

import json
from decimal import Decimal
from typing import Any

import pytest

from formulas.chemistry.records import Spread
from formulas.formula_file import (
    Bookless,
    MaterialFigures,
    compute_formula_file,
    formula_sheet_json,
    read_formula_file,
)
from formulas.formula_sheet import exit_status
from tests.formulas.chemistry_parts import codes, dec, recipe_r

OILS = (("Olive oil", 400, [187, 196]), ("Coconut oil", 300, [248, 265]), ("Palm oil", 300, [190, 209]))
RECIPE_R: dict[str, Any] = {
    "format": "soapshop-formula/1",
    "name": "Recipe R",
    "superfat_percent": 5,
    "oils": [{"material": name, "grams": grams, "sap_koh_mg_per_g": sap} for name, grams, sap in OILS],
    "alkali": [{"kind": "NaOH", "share_percent": 100, "purity_percent": 98, "purity_range_percent": [97, 99]}],
    "liquid": {"basis": "lye_concentration", "value": 33},
    "weighing_error_percent": 0,
}
GOAT_MILK = {
    "material": "Goat milk",
    "share_percent": 100,
    "water_percent": 87.03,
    "fat_percent": 4.14,
    "fat_sap_koh_mg_per_g": [220, 233],
}
SHEET_KEYS = [
    "alkali",
    "stock_solution_grams",
    "water_grams",
    "liquids",
    "lye_concentration_percent",
    "liquid_to_lye",
    "liquid_percent_of_oils",
    "superfat_percent",
    "batch_grams",
    "water_percent_of_batch",
    "glycerin_grams",
    "soap_grams",
    "iodine_value",
    "batter_density_g_per_ml",
    "findings",
]


class Book:
    """A material book with a few figures of published sources, as the checks on recipe R use them."""

    materials = {
        "Olive oil": MaterialFigures(sap_koh_mg_per_g=Spread.between(dec(187), dec(196)), iodine_value=dec("83.9")),
        "Coconut oil": MaterialFigures(sap_koh_mg_per_g=Spread.between(dec(248), dec(265)), iodine_value=dec("8.6")),
        "Palm oil": MaterialFigures(sap_koh_mg_per_g=Spread.between(dec(190), dec(209)), iodine_value=dec("50.6")),
        "NaOH": MaterialFigures(purity_fraction=Spread(dec("0.97"), dec("0.98"), dec("0.99"))),
        "Citric acid (anhydrous)": MaterialFigures(alkali_demand_g_naoh_per_g=dec("0.62455")),
        "Goat milk": MaterialFigures(
            water_fraction=dec("0.8703"),
            fat_fraction=dec("0.0414"),
            fat_sap_koh_mg_per_g=Spread.between(dec(220), dec(233)),
        ),
        "Stearic acid": MaterialFigures(
            sap_koh_mg_per_g=Spread.exactly(dec("197.22")), acid_value=dec("197.22"), gives_glycerol=True
        ),
    }

    def find(self, name: str) -> MaterialFigures | None:
        return self.materials.get(name)


def text(**changes: Any) -> str:
    fields = {**RECIPE_R, **changes}
    return json.dumps({key: value for key, value in fields.items() if value is not ...})


def computed(book: Any = None, **changes: Any):
    return compute_formula_file(text(**changes), book or Bookless())


def sheet(book: Any = None, **changes: Any) -> dict[str, Any]:
    return formula_sheet_json(computed(book, **changes))


# Recipe R worked out apart from this app (stoichiometry on IUPAC weights), with the tolerance of the last digit.
@pytest.mark.parametrize(
    ("figure", "expected", "places"),
    (
        (lambda it: it["alkali"]["naoh_grams"], 147.474, 3),
        (lambda it: it["alkali"]["koh_grams"], 0, 3),
        (lambda it: it["water_grams"], 299.416, 3),
        (lambda it: it["batch_grams"], 1446.890, 3),
        (lambda it: it["superfat_percent"]["planned"], 5, 2),
        (lambda it: it["superfat_percent"]["lowest"], 0.68, 2),
        (lambda it: it["superfat_percent"]["highest"], 9.04, 2),
        (lambda it: it["superfat_percent"]["smallest_safe_plan"], 4.35, 2),
        (lambda it: it["superfat_percent"]["standard_deviation"], 1.222, 3),
        (lambda it: it["superfat_percent"]["likely_lowest"], 2.556, 3),
        (lambda it: it["superfat_percent"]["likely_highest"], 7.444, 3),
        (lambda it: it["water_percent_of_batch"], 20.694, 3),
        (lambda it: it["glycerin_grams"], 110.923, 3),
        (lambda it: it["soap_grams"], 983.601, 3),
        (lambda it: it["lye_concentration_percent"], 33, 6),
        (lambda it: it["liquid_to_lye"], 2.0303, 4),
        (lambda it: it["liquid_percent_of_oils"], 29.942, 3),
        (lambda it: it["stock_solution_grams"], 0, 3),
        (lambda it: it["iodine_value"], None, None),
    ),
)
def test_the_sheet_of_recipe_r(figure, expected, places):
    found = figure(sheet())
    assert found == expected if expected is None else round(found, places) == expected


def test_the_sheet_has_exactly_the_documented_keys():
    assert list(sheet()) == SHEET_KEYS
    assert list(sheet(oils=[])) == SHEET_KEYS


def test_the_sheet_holds_numbers_and_not_text():
    json.dumps(sheet())
    assert isinstance(sheet()["water_grams"], float)


def test_the_file_gives_what_the_same_records_give():
    assert computed().naoh_grams == recipe_r().naoh_grams


def test_milk_brings_its_fat_and_its_water():
    """344.04 g milk and 149.703 g NaOH: worked out apart from this app."""
    found = sheet(liquids=[GOAT_MILK])
    assert [(line["material"], round(line["grams"], 2)) for line in found["liquids"]] == [("Goat milk", 344.04)]
    assert round(found["alkali"]["naoh_grams"], 3) == 149.703
    assert found["water_grams"] == 0


def test_citric_acid_asks_for_more_lye():
    """160.219 g NaOH: worked out apart from this app."""
    acid = {"material": "Citric acid (anhydrous)", "grams": 20, "alkali_demand_g_naoh_per_g": 0.62455}
    assert abs(sheet(additives=[acid])["alkali"]["naoh_grams"] - 160.219) < 0.001


def test_two_alkalis():
    """132.726 g NaOH and 22.526 g KOH of 90 %: worked out apart from this app."""
    both = [
        {"kind": "NaOH", "share_percent": 90, "purity_percent": 98},
        {"kind": "KOH", "share_percent": 10, "purity_percent": 90},
    ]
    found = sheet(alkali=both)["alkali"]
    assert {kind: round(grams, 3) for kind, grams in found.items()} == {"naoh_grams": 132.726, "koh_grams": 22.526}


def test_a_stock_solution():
    """147.474 / 0.5 = 294.947 g; 299.416 - 147.474 = 151.942 g water: worked by hand."""
    found = sheet(stock_solution={"kind": "NaOH", "strength_percent": 50})
    assert round(found["stock_solution_grams"], 3) == 294.947
    assert round(found["water_grams"], 3) == 151.942


def test_percent_of_a_total_gives_the_same():
    oils = [{"material": name, "percent": grams / 10, "sap_koh_mg_per_g": sap} for name, grams, sap in OILS]
    assert sheet(oils=oils, oils_grams=1000) == sheet()


def test_the_material_book_fills_what_the_file_leaves_out():
    oils = [{"material": name, "grams": grams} for name, grams, _ in OILS]
    found = sheet(Book(), oils=oils, alkali=[{"kind": "NaOH"}])
    assert {**found, "iodine_value": None} == sheet()
    assert round(found["iodine_value"], 2) == 51.32  # worked out apart from this app from USDA compositions


def test_figures_in_the_file_win_over_the_book():
    oils = [{"material": "Olive oil", "grams": 1000, "sap_koh_mg_per_g": [190, 190]}]
    alkali = [{"kind": "NaOH", "purity_percent": 100}]
    found = sheet(Book(), oils=oils, alkali=alkali, superfat_percent=10)
    assert round(found["alkali"]["naoh_grams"], 3) == 121.904  # 135.449 x 0.9, worked by hand


def test_a_book_knows_free_acids():
    oils = [{"material": "Stearic acid", "grams": 100}]
    assert sheet(Book(), oils=oils)["glycerin_grams"] == 0


def test_purity_as_a_range_only_is_dosed_on_the_high_end():
    """144.524 / 0.99 = 145.984 g: worked by hand."""
    result = computed(alkali=[{"kind": "NaOH", "purity_range_percent": [97, 99]}])
    assert round(result.naoh_grams, 3) == dec("145.984")
    assert codes(result).count("purity-planned-high") == 1


def test_purity_not_given_is_dosed_as_wholly_pure():
    result = computed(alkali=[{"kind": "NaOH"}])
    assert round(result.naoh_grams, 3) == dec("144.524")
    assert codes(result).count("purity-planned-high") == 1


def test_typed_alkali_grams_decide_the_superfat():
    alkali = [{"kind": "NaOH", "purity_percent": 98, "grams": 147.474}]
    found = sheet(alkali=alkali, superfat_percent=...)
    assert round(found["superfat_percent"]["planned"], 2) == 5.0
    assert computed(alkali=alkali, superfat_percent=...).stops == ()


@pytest.mark.parametrize(
    ("oils", "grams", "superfat"),
    (
        pytest.param([("Coconut", 12, [256.5, 256.5]), ("Olive", 8, [190, 190])], 8.58, -161.8, id="chem-W53"),
        pytest.param([("Palm olein", 1000, [194, 202])], 167.82, -18.9, id="chem-W54"),
    ),
)
def test_published_lye_heavy_instructions_are_refused(oils, grams, superfat):
    """A hobby page and a pilot-plant report; superfats recomputed apart from this app."""
    lines = [{"material": name, "grams": mass, "sap_koh_mg_per_g": sap} for name, mass, sap in oils]
    result = computed(
        oils=lines, alkali=[{"kind": "NaOH", "purity_percent": 100, "grams": grams}], superfat_percent=...
    )
    assert codes(result, "stop") == ["lye-heavy"]
    assert exit_status(result) == 2
    assert round(formula_sheet_json(result)["superfat_percent"]["planned"], 1) == superfat


def test_an_impossible_fat_is_refused():
    """chem-W55, a school exercise that needs a SAP of 1880."""
    result = computed(oils=[{"material": "Fat", "grams": 13440, "sap_koh_mg_per_g": [1880, 1880]}])
    assert codes(result) == ["sap-implausible"]


def test_asking_and_noting_do_not_refuse():
    result = computed(superfat_percent=2)
    assert codes(result, "ask") == ["superfat-may-go-below-zero", "superfat-likely-below-zero"]
    assert exit_status(result) == 0


def test_oils_by_volume_are_marked():
    """One US cup of coconut oil is 236.6 ml x 0.924 = 218.6 g (case-C101)."""
    cup = {"material": "Coconut oil", "milliliters": 236.6, "density_g_per_ml": 0.924, "sap_koh_mg_per_g": [248, 265]}
    result = computed(oils=[cup])
    assert round(result.oils_grams, 1) == dec("218.6")
    assert codes(result, "ask") == ["oils-by-volume"]


def test_numbers_are_exact():
    """0.1 g + 0.2 g, which floats cannot add."""
    oils = [
        {"material": name, "grams": grams, "sap_koh_mg_per_g": [190, 190]} for name, grams in (("A", 0.1), ("B", 0.2))
    ]
    assert computed(oils=oils).oils_grams == Decimal("0.3")


def test_a_file_with_a_byte_order_mark_is_read():
    file = read_formula_file(b"\xef\xbb\xbf" + text().encode(), Bookless())
    assert file.findings == ()
    assert file.spec.name == "Recipe R"
