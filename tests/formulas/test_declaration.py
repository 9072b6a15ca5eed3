"""The ingredient list in both styles: the OR and RS rows of the check table, names, groups and the mass balance."""

from dataclasses import replace
from decimal import Decimal

import pytest

from formulas.declaration import DeclarationError, DeclaredInput, LabelNames, build_declaration
from formulas.declaration.reaction import glycerol_per_gram_alkali
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
    WHITE,
    label_input,
    names,
    sap_from_naoh,
    scent,
)
from tests.formulas.tables.label_cases import case

TABLES = packaged_tables()
# What division leaves behind in 28 digits, for a batch of a few kilograms.
NOTHING = Decimal("1e-20")


def declare(*inputs, **changes):
    return build_declaration(label_input(*inputs, **changes), TABLES)


def codes(declaration, level):
    return [problem.code for problem in declaration.problems if problem.level == level]


EU_PERCENTS = {
    "Olea Europaea Fruit Oil": "33.875",
    "Cocos Nucifera Oil": "20.325",
    "Aqua": "19.648",
    "Ricinus Communis Seed Oil": "13.550",
    "Sodium Hydroxide": "9.417",
    "Parfum": "2.033",
    "Kaolin": "0.542",
    "CI 77891": "0.339",
    "CI 77019": "0.271",
}
AS_ADDED = (
    case(
        "OR01",
        "eu",
        "Olea Europaea Fruit Oil, Cocos Nucifera Oil, Aqua, Ricinus Communis Seed Oil, Sodium Hydroxide, Parfum, "
        "Kaolin, CI 77891, CI 77019",
        list(EU_PERCENTS.values()),
    ),
    case(
        "OR02",
        "us_cosmetic",
        "Olive Oil, Coconut Oil, Water, Castor Seed Oil, Sodium Hydroxide, Fragrance, Kaolin, Titanium Dioxide, Mica",
        list(EU_PERCENTS.values()),
    ),
)


@pytest.mark.parametrize(("market", "text", "percents"), AS_ADDED)
def test_as_added(market, text, percents):
    declaration = declare(market=market)
    assert declaration.text == text
    assert [round(entry.percent, 3) for entry in declaration.entries] == [Decimal(p) for p in percents]


@pytest.mark.parametrize(
    ("market", "group"),
    (
        case("OR03", "us_cosmetic", "low"),
        case("OR03", "eu", "main"),
    ),
)
def test_exactly_one_percent(market, group):
    clay = replace(KAOLIN, grams=Decimal(10))
    filler = replace(OLIVE, grams=Decimal(860))
    rest = (replace(LYE, grams=Decimal(110)), replace(WATER, grams=Decimal(20)))
    declaration = declare(filler, *rest, clay, market=market, cured_mass_grams=None, lowest_cured_mass_grams=None)
    entry = next(entry for entry in declaration.entries if entry.name == "Kaolin")
    assert (declaration.basis_grams, entry.percent, entry.group) == (Decimal(1000), Decimal(1), group)


@pytest.mark.parametrize(("kind", "grams"), (case("RS01", "NaOH", "0.76751"), case("RS01", "KOH", "0.54715")))
def test_glycerol_for_each_gram_of_alkali(kind, grams):
    assert round(glycerol_per_gram_alkali(kind), 5) == Decimal(grams)


@pytest.mark.parametrize(("share", "superfat"), (case("RS02", "0.942373", "5.7627"),))
def test_saponified_share(share, superfat):
    fraction = declare(style="as_resulting").saponified_fraction
    assert (round(fraction, 6), round(100 * (1 - fraction), 4)) == (Decimal(share), Decimal(superfat))


RESULTING = (
    case("RS03", "Sodium Olivate", "485.87"),
    case("RS03", "Sodium Cocoate", "294.74"),
    case("RS03", "Sodium Castorate", "194.08"),
    case("RS03", "Glycerin", "106.68"),
    case("RS03", "Olive Oil", "28.81"),
    case("RS03", "Coconut Oil", "17.29"),
    case("RS03", "Castor Seed Oil", "11.53"),
)


@pytest.mark.parametrize(("name", "grams"), RESULTING)
def test_what_the_oils_turn_into(name, grams):
    entries = {e.name: e.grams for e in declare(market="us_cosmetic", style="as_resulting").entries}
    assert round(entries[name], 2) == Decimal(grams)


@pytest.mark.parametrize("total", (case("RS04", "1139.00"),))
def test_oils_and_lye_come_out_again(total):
    oils_and_lye = declare(OLIVE, COCONUT, CASTOR, LYE, style="as_resulting", cured_mass_grams=Decimal(1139),
                           lowest_cured_mass_grams=None)  # fmt: skip
    assert abs(sum(entry.grams for entry in oils_and_lye.entries) - Decimal(total)) < NOTHING


@pytest.mark.parametrize(
    ("text", "percents"),
    (
        case(
            "RS05",
            "Sodium Olivate, Sodium Cocoate, Sodium Castorate, Water, Glycerin, Fragrance, Olive Oil, Coconut Oil, "
            "Castor Seed Oil, Kaolin, Titanium Dioxide, Mica",
            "37.203 22.568 14.861 9.188 8.169 2.297 2.206 1.324 0.882 0.613",
        ),
    ),
)
def test_as_resulting(text, percents):
    declaration = declare(market="us_cosmetic", style="as_resulting")
    plain = [round(entry.percent, 3) for entry in declaration.entries if entry.group != "color"]
    assert (declaration.text, declaration.basis_grams) == (text, Decimal(1306))
    assert plain == [Decimal(percent) for percent in percents.split()]


def test_one_style_for_each_label():
    """As added names the lye and all the water; as resulting the glycerin and the leftover oils. Never both."""
    added = {entry.name for entry in declare(market="us_cosmetic").entries}
    resulting = {entry.name for entry in declare(market="us_cosmetic", style="as_resulting").entries}
    assert added - resulting == {"Sodium Hydroxide"}
    assert resulting - added == {"Sodium Olivate", "Sodium Cocoate", "Sodium Castorate", "Glycerin"}


def test_glycerin_that_was_added_joins_the_glycerin_formed():
    added = DeclaredInput("Glycerin, bought", Decimal(20), "additive", names("Glycerin"))
    resulting = declare(*BATCH, added, market="us_cosmetic", style="as_resulting", cured_mass_grams=Decimal(1326))
    grams = {entry.name: entry.grams for entry in resulting.entries}["Glycerin"]
    assert round(grams, 2) == Decimal("126.68")  # 106.68 of check RS03 and 20
    assert "Glycerin" in declare(*BATCH, added, market="us_cosmetic").text.split(", ")
    assert "Glycerin" not in declare(market="us_cosmetic").text.split(", ")


def test_citric_acid_becomes_its_salt():
    """1 g anhydrous citric acid takes 0.62455 g NaOH and gives 1.3432 g citrate and 0.2813 g water (molar masses)."""
    acid = DeclaredInput(
        "Citric acid",
        Decimal(20),
        "acid",
        names("Citric Acid", sodium="Sodium Citrate"),
        alkali_demand_g_naoh_per_g=Decimal("0.62455"),
    )
    declaration = declare(*BATCH, acid, market="us_cosmetic", style="as_resulting")
    grams = {entry.name: entry.grams for entry in declaration.entries}
    assert round(grams["Sodium Citrate"], 2) == Decimal("26.86")
    assert round(declaration.saponified_fraction, 4) == Decimal("0.8577")  # (139 − 12.491) / 147.5, worked by hand
    assert "Citric Acid" not in grams
    assert "Citric Acid" in declare(*BATCH, acid, market="us_cosmetic").text.split(", ")


def test_two_alkalis_give_two_soaps():
    """Equal moles of NaOH and KOH: half of each oil's reacted share carries sodium (worked by hand)."""
    sodium, potassium = (
        replace(LYE, grams=Decimal("39.9971")),
        replace(
            LYE, material="Potash", grams=Decimal("56.1056"), alkali_kind="KOH", names=names("Potassium Hydroxide")
        ),
    )
    declaration = declare(OLIVE, WATER, sodium, potassium, market="us_cosmetic", style="as_resulting",
                          cured_mass_grams=Decimal(700), lowest_cured_mass_grams=None)  # fmt: skip
    assert "lye_heavy" in codes(declaration, "stop")  # 2 mol of alkali for 1.675 mol of olive oil
    declaration = declare(
        replace(OLIVE, grams=Decimal(700)), WATER, sodium, potassium, market="us_cosmetic", style="as_resulting",
        cured_mass_grams=Decimal(900), lowest_cured_mass_grams=None,
    )  # fmt: skip
    grams = {entry.name: entry.grams for entry in declaration.entries}
    assert round(grams["Potassium Olivate"] - grams["Sodium Olivate"], 4) == Decimal("16.1085")  # 56.1056 − 39.9971


def test_a_free_fatty_acid_gives_water_and_no_glycerin():
    """Stearic acid, 284.478 g/mol: 1 mol and 1 mol NaOH make 306.46 g soap and 18.015 g water (molar masses)."""
    stearic = DeclaredInput(
        "Stearic acid", Decimal("284.478"), "fat", names("Stearic Acid", sodium="Sodium Stearate"),
        sap_koh_mg_per_g=Decimal("56105.6") / Decimal("284.478"), gives_glycerol=False, is_fatty_acid=True,
    )  # fmt: skip
    lye = replace(LYE, grams=Decimal("39.9971"))
    declaration = declare(stearic, lye, WATER, market="us_cosmetic", style="as_resulting",
                          cured_mass_grams=Decimal(400), lowest_cured_mass_grams=None)  # fmt: skip
    grams = {entry.name: entry.grams for entry in declaration.entries}
    assert round(grams["Sodium Stearate"], 2) == Decimal("306.46")
    assert set(grams) == {"Sodium Stearate", "Water"}


def test_purity_and_a_lye_solution():
    """Half-strength solution: 278 g hold the 139 g of lye and 139 g of water of the batch (worked by hand)."""
    solution = replace(LYE, grams=Decimal(278), purity_fraction=Decimal("0.5"), water_fraction=Decimal("0.5"))
    less_water = replace(WATER, grams=Decimal(151))
    plain, mixed = declare(), declare(OLIVE, COCONUT, CASTOR, less_water, solution, FRAGRANCE, KAOLIN, WHITE, MICA)
    assert [(e.name, e.grams) for e in mixed.entries] == [(e.name, e.grams) for e in plain.entries]


def test_what_is_not_active_in_the_lye_is_no_ingredient():
    """Raw-material impurities do not count: Regulation (EC) No 1223/2009, Art. 19(1)(g), read."""
    lye = replace(LYE, grams=Decimal(140), purity_fraction=Decimal("0.98"))
    declaration = declare(OLIVE, COCONUT, CASTOR, WATER, lye, style="as_resulting", cured_mass_grams=Decimal(1300),
                          lowest_cured_mass_grams=None)  # fmt: skip
    unlisted = [line.grams for line in declaration.balance.lines_out if line.what == "Lye beads: not listed"]
    assert unlisted == [Decimal("2.80")]
    assert abs(declaration.balance.residual_grams) < NOTHING


def test_fat_inside_milk_is_counted():
    """100 g of milk with 4 percent fat like butterfat: its fat takes lye, its soap stays under its name."""
    milk = DeclaredInput("Goat milk", Decimal(100), "liquid", names("Goat Milk", "Caprae Lac"),
                         water_fraction=Decimal("0.87"), fat_fraction=Decimal("0.04"),
                         fat_sap_koh_mg_per_g=Decimal(226))  # fmt: skip
    plain, with_milk = (
        declare(style="as_resulting"),
        declare(*BATCH, milk, style="as_resulting", cured_mass_grams=Decimal(1330)),
    )
    assert with_milk.saponified_fraction < plain.saponified_fraction
    assert abs(with_milk.balance.residual_grams) < NOTHING
    assert "Caprae Lac" in declare(*BATCH, milk).text.split(", ")


def test_equal_weights_stand_in_the_alphabet():
    even = declare(replace(COCONUT, grams=Decimal(500)), OLIVE, market="us_soap", lowest_cured_mass_grams=None)
    assert even.text == "Coconut Oil, Olive Oil"


@pytest.mark.parametrize(("inputs", "refusal"), (
    ((), "Nothing was weighed, so there is no list. Enter the materials first."),
    ((replace(OLIVE, grams=Decimal(-1)),), "Olive oil has a weight below zero. Correct the weighing."),
    ((replace(LYE, alkali_kind=""),), "Lye beads has no alkali kind. Say whether it is NaOH or KOH."),
    (
        (replace(LYE, purity_fraction=Decimal("1.2")),),
        "A share of Lye beads is below 0 or above 100 percent. Correct the material.",
    ),
    (
        (replace(LYE, purity_fraction=Decimal("0.9"), water_fraction=Decimal("0.2")),),
        "Purity and water of Lye beads are over 100 percent in all. Correct the material.",
    ),
))  # fmt: skip
def test_what_cannot_be_worked_is_refused(inputs, refusal):
    with pytest.raises(DeclarationError) as caught:
        build_declaration(replace(label_input(), inputs=inputs), TABLES)
    assert str(caught.value) == refusal


def test_names_of_a_rule_set_are_dated():
    assert declare(market="uk").rule_set.title == "United Kingdom (Great Britain)"
    assert LabelNames().is_confirmed is False
    assert sap_from_naoh("0.134") > 187
    assert scent("x", "1", Linalyl_Acetate="38").allergens[0].name == "Linalyl Acetate"
