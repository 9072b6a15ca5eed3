"""What stops a list or asks a person; each guard with a case where it stays quiet."""

from dataclasses import replace
from decimal import Decimal

import pytest

from formulas.declaration import DeclaredInput, build_declaration
from formulas.label_rules.colors import color_key, listing_for
from formulas.label_rules.rulebook import packaged_tables
from tests.formulas.tables.label_batch import (
    BATCH,
    CASTOR,
    COCONUT,
    FRAGRANCE,
    KAOLIN,
    LYE,
    MICA,
    OLIVE,
    WATER,
    color,
    label_input,
    names,
)

TABLES = packaged_tables()


def problems(*inputs, **changes):
    return build_declaration(label_input(*inputs, **changes), TABLES).problems


def codes(*inputs, level, **changes):
    return [problem.code for problem in problems(*inputs, **changes) if problem.level == level]


@pytest.mark.parametrize("style", ("as_added", "as_resulting"))
@pytest.mark.parametrize("market", ("us_soap", "us_cosmetic", "eu", "uk", "ca"))
def test_a_sound_batch_has_nothing_to_mend(market, style):
    declaration = build_declaration(label_input(market=market, style=style), TABLES)
    assert [p for p in declaration.problems if p.level != "note"] == []
    assert declaration.is_printable


def test_a_missing_name_stops_and_shows_whose_it_is():
    nameless = replace(KAOLIN, names=replace(KAOLIN.names, eu=""))
    declaration = build_declaration(label_input(*BATCH[:5], nameless), TABLES)
    assert declaration.text.endswith("Sodium Hydroxide, [Kaolin]")
    assert [(p.level, p.code, p.text, p.mend) for p in declaration.problems if p.level == "stop"] == [
        (
            "stop",
            "missing_name",
            "Kaolin has no name for this label.",
            "Enter its European label name on the material page.",
        )
    ]
    assert not declaration.is_printable
    assert codes(*BATCH[:5], nameless, level="stop", market="us_soap") == []


def test_an_unconfirmed_name_is_asked_once():
    doubtful = replace(OLIVE, names=replace(OLIVE.names, is_confirmed=False))
    twice = (replace(doubtful, grams=Decimal(250)), replace(doubtful, grams=Decimal(250)))
    assert codes(*twice, *BATCH[1:], level="ask") == ["unconfirmed_name"]
    assert codes(level="ask") == []


def test_a_missing_soap_name_stops_only_the_resulting_style():
    nameless = replace(OLIVE, names=replace(OLIVE.names, soap_sodium=""))
    assert codes(nameless, *BATCH[1:], level="stop", style="as_resulting") == ["missing_name"]
    assert codes(nameless, *BATCH[1:], level="stop") == []


def test_a_color_without_its_number_or_listed_name():
    blank = replace(MICA, names=replace(MICA.names, color_ci="", color_us="Mica"))
    assert codes(*BATCH[:5], blank, level="stop") == ["missing_name"]
    assert codes(*BATCH[:5], blank, level="stop", market="us_cosmetic") == []


@pytest.mark.parametrize(
    ("name", "market", "level", "code"),
    (
        ("Indigo", "us_cosmetic", "stop", "color_not_listed"),
        ("Indigo", "us_soap", "ask", "color_not_listed"),
        ("Henna", "us_cosmetic", "stop", "color_not_listed"),
        ("Red 40", "us_cosmetic", "stop", "color_not_certified"),
        ("FD&C Blue No. 1", "us_soap", "ask", "color_not_certified"),
        ("Green 8", "us_cosmetic", "ask", "color_has_limit"),
    ),
)
def test_color_law(name, market, level, code):
    """21 CFR 73 and 74, rows marked read or from memory in color_additives_us.csv."""
    assert code in codes(*BATCH[:5], color("Dye", "3", name, "CI 16035"), level=level, market=market)


def test_color_law_stays_quiet():
    certified = replace(color("Dye", "3", "Red 40 Lake", "CI 16035"), certification_lot="AB1234")
    assert codes(*BATCH[:5], certified, level="stop", market="us_cosmetic") == []
    assert codes(*BATCH[:5], color("Dye", "3", "Ultramarines", "CI 77007"), level="stop", market="us_cosmetic") == []
    assert codes(*BATCH[:5], color("Dye", "3", "Indigo", "CI 75781"), level="stop", market="eu") == []


@pytest.mark.parametrize(
    ("typed", "listed"),
    (
        ("Red 40", "FD&C Red No. 40"),
        ("Red 40 Lake", "FD&C Red No. 40"),
        ("Yellow 5 (CI 19140)", "FD&C Yellow No. 5"),
        ("Iron Oxide", "Iron Oxides"),
        ("ultramarine", "Ultramarines"),
        ("Ext. D&C Violet No. 2", "Ext. D&C Violet No. 2"),
        ("Violet 2", "D&C Violet No. 2"),
        ("Yellow 7", "D&C Yellow No. 7"),
    ),
)
def test_a_dye_is_found_under_its_short_name(typed, listed):
    found = listing_for(typed, TABLES.colors)
    assert found is not None
    assert found.name_us == listed


def test_no_two_listed_colors_look_alike():
    keys = [color_key(listing.name_us) for listing in TABLES.colors]
    assert len(keys) == len(set(keys)) == 63


def test_oils_without_lye_stop():
    assert codes(OLIVE, COCONUT, CASTOR, WATER, level="stop", lowest_cured_mass_grams=None, cured_mass_grams=None) == [
        "no_lye"
    ]


def test_too_much_lye_stops():
    """The batch needs 147.5 g at no superfat (check RS02)."""
    heavy = replace(LYE, grams=Decimal("147.6"))
    assert codes(OLIVE, COCONUT, CASTOR, WATER, heavy, level="stop", style="as_resulting") == ["lye_heavy"]
    exact = replace(LYE, grams=Decimal("147.5"))
    assert codes(OLIVE, COCONUT, CASTOR, WATER, exact, level="stop", style="as_resulting") == []


def test_an_acid_that_eats_all_the_lye_stops():
    acid = DeclaredInput("Citric acid", Decimal(300), "acid", names("Citric Acid", sodium="Sodium Citrate"),
                         alkali_demand_g_naoh_per_g=Decimal("0.62455"))  # fmt: skip
    assert "acid_takes_all_lye" in codes(*BATCH, acid, level="stop", style="as_resulting")
    little = replace(acid, grams=Decimal(10))
    assert codes(*BATCH, little, level="stop", style="as_resulting") == []


def test_a_fat_without_its_value_stops_only_the_resulting_style():
    unknown = replace(OLIVE, sap_koh_mg_per_g=None)
    assert codes(unknown, *BATCH[1:], level="stop", style="as_resulting") == ["missing_sap"]
    assert codes(unknown, *BATCH[1:], level="stop") == []


@pytest.mark.parametrize(
    ("changes", "expected"),
    (
        ({"style": "as_resulting", "cured_mass_grams": None}, ["cured_mass_missing"]),
        ({"cured_mass_grams": Decimal(1477)}, ["cured_mass_too_high"]),
        ({"lowest_cured_mass_grams": Decimal(1185)}, ["cured_mass_too_low"]),
        ({"lowest_cured_mass_grams": Decimal(1307)}, ["lowest_mass_over_cured"]),
        ({"cured_mass_grams": Decimal(1476), "lowest_cured_mass_grams": Decimal(1186)}, []),
    ),
)
def test_cured_weights_that_cannot_be(changes, expected):
    """1476 g went in, 1186 g of it cannot dry away (check RS05)."""
    assert codes(level="stop", **changes) == expected


def test_more_vinegar_than_oil_is_asked_about():
    much = replace(WATER, material="Vinegar", names=names("Vinegar", "Acetum"), grams=Decimal(1001))
    assert codes(*BATCH, much, level="ask", cured_mass_grams=None, lowest_cured_mass_grams=None) == ["liquid_over_oils"]
    assert codes(*BATCH, replace(much, grams=Decimal(999)), level="ask", cured_mass_grams=None,
                 lowest_cured_mass_grams=None) == []  # fmt: skip


def test_soap_that_was_bought_is_not_mixed_into_an_added_list():
    base = DeclaredInput("Clear base", Decimal(50), "additive", names("Sodium Palmate"), is_ready_soap=True)
    assert codes(*BATCH, base, level="ask") == ["ready_soap_in_added_list"]
    assert codes(*BATCH, base, level="ask", style="as_resulting") == []


@pytest.mark.parametrize(("held", "expected"), (("30", ["components_do_not_add_up"]), ("40", [])))
def test_a_part_is_told_whole(held, expected):
    part = DeclaredInput("Wax leaf", Decimal(40), "part", components=(
        DeclaredInput("Beeswax", Decimal(held), "additive", names("Beeswax", "Cera Alba")),
    ))  # fmt: skip
    assert codes(*BATCH, part, level="stop") == expected


def test_the_gravest_problem_stands_first():
    nameless = replace(KAOLIN, names=replace(KAOLIN.names, eu=""))
    doubtful = replace(OLIVE, names=replace(OLIVE.names, is_confirmed=False))
    levels = [problem.level for problem in problems(doubtful, *BATCH[1:5], nameless, FRAGRANCE)]
    assert levels == ["stop", "ask", "note"]


def test_every_problem_says_the_mend():
    nameless = replace(KAOLIN, names=replace(KAOLIN.names, eu="", is_confirmed=False))
    assert all(problem.text.endswith(".") and problem.mend.endswith(".") for problem in problems(*BATCH, nameless))
