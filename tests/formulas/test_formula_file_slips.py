"""Formula files with slips: each a clear finding, never an exception."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from formulas.formula_file import Bookless, compute_formula_file, formula_sheet_json
from formulas.formula_sheet import exit_status
from tests.formulas.chemistry_parts import codes
from tests.formulas.test_formula_file import GOAT_MILK, OILS, RECIPE_R, Book, computed, text

OLIVE = RECIPE_R["oils"][0]
NAOH = RECIPE_R["alkali"][0]


def oil(**changes):
    return {"oils": [{key: value for key, value in {**OLIVE, **changes}.items() if value is not ...}]}


def by_percent(*percents):
    return {
        "oils": [
            {"material": name, "percent": percent, "sap_koh_mg_per_g": sap}
            for (name, _, sap), percent in zip(OILS, percents, strict=True)
        ]
    }


@pytest.mark.parametrize(
    ("changes", "expected"),
    (
        pytest.param({"format": "other/1"}, ["file-format"], id="another format"),
        pytest.param({"format": ...}, ["file-format"], id="no format"),
        pytest.param({"oils": []}, ["no-oils"], id="no oils"),
        pytest.param({"oils": ...}, ["no-oils"], id="oils left out"),
        pytest.param({"oils": {"Olive oil": 400}}, ["file-shape"], id="oils not a list"),
        pytest.param({"oils": ["Olive oil"]}, ["file-shape"], id="an oil that is only a name"),
        pytest.param({"oils": [OLIVE] * 201}, ["file-too-long"], id="too many oils"),
        pytest.param(oil(material=...), ["material-missing"], id="an oil without a name"),
        pytest.param(oil(material=7), ["not-a-name"], id="a number for a name"),
        pytest.param(oil(material="x" * 201), ["not-a-name"], id="an endless name"),
        pytest.param(oil(material="Olive\noil"), ["not-a-name"], id="a name over two lines"),
        pytest.param(oil(grams=...), ["fat-grams"], id="grams left out"),
        pytest.param(oil(grams="400 g"), ["not-a-number"], id="text for grams"),
        pytest.param(oil(grams=True), ["not-a-number"], id="true for grams"),
        pytest.param(oil(grams=[400]), ["not-a-number"], id="a list for grams"),
        pytest.param(oil(grams=-400), ["fat-grams"], id="negative grams"),
        pytest.param(oil(grams=1e40), ["absurd-number"], id="absurd grams"),
        pytest.param(oil(sap_koh_mg_per_g=...), ["material-unknown"], id="unknown oil without figures"),
        pytest.param(oil(sap_koh_mg_per_g=[0.133, 0.139]), ["sap-is-a-factor"], id="factor for SAP"),
        pytest.param(oil(sap_koh_mg_per_g=[187]), ["not-a-range"], id="half a range"),
        pytest.param(oil(sap_koh_mg_per_g=["187", 196]), ["not-a-number"], id="text in a range"),
        pytest.param(oil(sap_koh_mg_per_g=[196, 187]), ["sap-range"], id="range upside down"),
        pytest.param(oil(gives_glycerol="yes"), ["not-true-or-false"], id="text for true"),
        pytest.param(oil(fatty_acids_percent=[70]), ["file-shape"], id="make-up without names"),
        pytest.param(oil(milliliters=400), ["oil-volume"], id="volume and grams"),
        pytest.param(oil(milliliters=400, grams=...), ["oil-volume"], id="volume without density"),
        pytest.param(oil(percent=40), ["oils-mixed"], id="percent and grams"),
        pytest.param({**by_percent(40, 30, 20), "oils_grams": 1000}, ["oils-percent-sum"], id="percent make 90"),
        pytest.param({**by_percent(40, 30, 40), "oils_grams": 1000}, ["oils-percent-sum"], id="percent make 110"),
        pytest.param(by_percent(40, 30, 30), ["oils-grams-missing"], id="percent without a total"),
        pytest.param({"oils_grams": 900}, ["oils-sum"], id="a total that does not fit"),
        pytest.param({"superfat_percent": ...}, ["superfat-missing"], id="no superfat"),
        pytest.param({"superfat_percent": "5%"}, ["not-a-number"], id="text for superfat"),
        pytest.param({"superfat_percent": 500}, ["superfat-absurd"], id="absurd superfat"),
        pytest.param({"alkali": []}, ["no-alkali"], id="no alkali"),
        pytest.param({"alkali": [{**NAOH, "kind": "lye"}]}, ["alkali-kind"], id="unknown alkali"),
        pytest.param({"alkali": [{"purity_percent": 98}]}, ["alkali-kind"], id="alkali without a kind"),
        pytest.param({"alkali": [{**NAOH, "purity_percent": 0.98}]}, ["purity-implausible"], id="fraction for purity"),
        pytest.param({"alkali": [{**NAOH, "purity_range_percent": [99, 97]}]}, ["purity-range"], id="upside down"),
        pytest.param({"alkali": [{**NAOH, "share_percent": 90}]}, ["alkali-share-sum"], id="share of 90"),
        pytest.param({"alkali": [{"kind": "NaOH"}, {"kind": "KOH"}]}, ["share-missing"] * 2, id="two without shares"),
        pytest.param({"liquid": ...}, ["liquid-missing"], id="no liquid"),
        pytest.param({"liquid": [33]}, ["file-shape"], id="liquid not a group"),
        pytest.param({"liquid": {"basis": "lye_concentration"}}, ["liquid-missing"], id="liquid without a value"),
        pytest.param({"liquid": {"basis": "cups", "value": 2}}, ["liquid-basis"], id="unknown basis"),
        pytest.param({"liquid": {"basis": "liquid_to_lye", "value": 33}}, ["liquid-ratio"], id="percent for ratio"),
        pytest.param({"liquids": [{"material": "Goat milk"}]}, ["material-unknown"], id="unknown liquid"),
        pytest.param({"liquids": [GOAT_MILK, GOAT_MILK]}, ["liquid-share-sum"], id="liquids make 200 %"),
        pytest.param({"additives": [{"material": "Powder", "grams": 5}]}, ["material-unknown"], id="unknown additive"),
        pytest.param(
            {"additives": [{"material": "Powder", "alkali_demand_g_naoh_per_g": 0}]}, ["additive-grams"], id="no grams"
        ),
        pytest.param({"stock_solution": {"kind": "NaOH"}}, ["stock-missing"], id="stock without strength"),
        pytest.param({"stock_solution": 50}, ["file-shape"], id="stock as a number"),
        pytest.param(
            {"stock_solution": {"kind": "NaOH", "strength_percent": 0.5}},
            ["stock-strength"],
            id="fraction for strength",
        ),
        pytest.param({"weighing_error_percent": "none"}, ["not-a-number"], id="text for the weighing error"),
        pytest.param({"name": ["R"]}, ["not-a-name"], id="a list for the name"),
    ),
)
def test_a_slip_is_refused_with_its_mend(changes, expected):
    result = computed(**changes)
    assert codes(result, "stop") == expected
    assert all(finding.mend for finding in result.stops)
    assert exit_status(result) == 2


@pytest.mark.parametrize(
    ("content", "expected"),
    (
        pytest.param("", "file-not-json", id="empty"),
        pytest.param("{", "file-not-json", id="cut off"),
        pytest.param("Olive oil 400 g", "file-not-json", id="plain words"),
        pytest.param("[]", "file-shape", id="a list"),
        pytest.param("5", "file-shape", id="a number"),
        pytest.param("null", "file-shape", id="nothing"),
        pytest.param('{"superfat_percent": NaN}', "file-not-json", id="NaN"),
        pytest.param('{"superfat_percent": Infinity}', "file-not-json", id="Infinity"),
        pytest.param('{"superfat_percent": 5, "superfat_percent": 50}', "file-not-json", id="twice the same field"),
        pytest.param('{"superfat_percent": 1e99999999999999999999}', "file-not-json", id="an endless number"),
        pytest.param("[" * 100_000, "file-too-deep", id="endless nesting"),
        pytest.param('{"a":' * 100_000, "file-too-deep", id="endless groups"),
        pytest.param(" " * 1_000_001, "file-too-large", id="a huge file"),
        pytest.param(b"\xff\xfe\x00", "file-not-text", id="no text at all"),
    ),
)
def test_a_file_that_cannot_be_read_is_refused(content, expected):
    result = compute_formula_file(content, Bookless())
    assert codes(result) == [expected]
    assert formula_sheet_json(result)["alkali"] == {"naoh_grams": None, "koh_grams": None}


def test_a_number_of_a_hundred_thousand_digits_is_refused():
    content = text().replace("400", "4" * 100_000)
    assert codes(compute_formula_file(content, Bookless())) == ["absurd-number"]


def test_a_misspelled_field_is_mentioned_and_not_lost():
    result = computed(superfatt_percent=8)
    assert codes(result, "note") == ["density-assumed", "unknown-field"]
    assert result.findings[-1].text == "The file: “superfatt_percent” is not read."


def test_several_slips_are_told_at_once():
    result = computed(oils=[{"material": "Olive oil", "grams": "400"}], superfat_percent=True)
    assert codes(result) == ["not-a-number", "not-a-number", "material-unknown"]


def test_a_known_liquid_needs_no_figures():
    assert computed(Book(), liquids=[{"material": "Goat milk"}]).stops == ()


LINE_FIELDS = (
    *("material", "kind", "grams", "percent", "milliliters", "sap_koh_mg_per_g", "share_percent", "purity_percent"),
    *("purity_range_percent", "water_percent", "fat_percent", "alkali_demand_g_naoh_per_g", "fatty_acids_percent"),
)
SMALL_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=6,
)


@given(key=st.sampled_from([*RECIPE_R, "liquids", "additives", "stock_solution", "oils_grams"]), found=SMALL_JSON)
@settings(max_examples=150, deadline=None)
def test_any_value_in_any_field_gives_a_sheet(key, found):
    json.dumps(formula_sheet_json(compute_formula_file(json.dumps({**RECIPE_R, key: found}), Book())))


@given(
    part=st.sampled_from(("oils", "alkali", "liquids", "additives")),
    field=st.sampled_from(LINE_FIELDS),
    found=SMALL_JSON,
)
@settings(max_examples=150, deadline=None)
def test_any_value_in_any_line_gives_a_sheet(part, field, found):
    line = {"oils": OLIVE, "alkali": NAOH, "liquids": GOAT_MILK}.get(part, {"material": "Salt", "grams": 5})
    content = json.dumps({**RECIPE_R, part: [{**line, field: found}]})
    json.dumps(formula_sheet_json(compute_formula_file(content, Book())))
