"""Which words stand on the list: colors, blends, parts, scents by name, and the words of each market."""

from dataclasses import replace
from decimal import Decimal

from formulas.declaration import DeclaredInput, build_declaration
from formulas.label_rules.rulebook import packaged_tables
from tests.formulas.tables.label_batch import (
    BATCH,
    CASTOR,
    COCONUT,
    FRAGRANCE,
    KAOLIN,
    LYE,
    OLIVE,
    WATER,
    color,
    label_input,
    names,
)

TABLES = packaged_tables()
# What division leaves behind in 28 digits, for a batch of a few kilograms.
NOTHING = Decimal("1e-20")


def declare(*inputs, **changes):
    return build_declaration(label_input(*inputs, **changes), TABLES)


def test_colors_come_last_by_the_names_of_the_market():
    assert [e.name for e in declare(market="ca").entries if e.group == "color"] == ["CI 77891", "CI 77019"]
    assert [e.name for e in declare(market="us_soap").entries if e.group == "color"] == ["Titanium Dioxide", "Mica"]
    heavy = color("Clay pigment", "60", "Iron Oxides", "CI 77491")
    assert declare(*BATCH, heavy, market="us_soap").entries[-3].name == "Iron Oxides"  # 3.9 percent, still last


def test_a_blend_names_every_color_in_it():
    parts = (color("a", "0", "Mica", "CI 77019"), color("b", "0", "Titanium Dioxide", "CI 77891"))
    blend = DeclaredInput("Pearl shimmer", Decimal(6), "colorant", components=parts)
    declaration = declare(OLIVE, COCONUT, CASTOR, WATER, LYE, blend)
    assert [(e.name, e.grams) for e in declaration.entries if e.group == "color"] == [
        ("CI 77019", Decimal(3)),
        ("CI 77891", Decimal(3)),
    ]


def test_an_infused_oil_is_oil_and_plant():
    label = names("Calendula Flower", "Calendula Officinalis Flower")
    petals = DeclaredInput("Petals", Decimal(20), "botanical", label, allergens=())
    infused = replace(OLIVE, material="Petal oil", components=(replace(OLIVE, grams=Decimal(480)), petals))
    text = declare(infused, COCONUT, CASTOR, WATER, LYE, lowest_cured_mass_grams=None, cured_mass_grams=None).text
    assert text.split(", ") == [
        "Olea Europaea Fruit Oil", "Cocos Nucifera Oil", "Aqua", "Ricinus Communis Seed Oil", "Sodium Hydroxide",
        "Calendula Officinalis Flower",
    ]  # fmt: skip


def test_a_soap_seal_reacts_in_a_pot_of_its_own():
    """The seal's lye has its own superfat; the body's share stays what it was."""
    seal = DeclaredInput("Leaf seal", Decimal(23), "part", components=(
        replace(OLIVE, grams=Decimal(16)), replace(LYE, grams=Decimal(2)), replace(WATER, grams=Decimal(5)),
    ))  # fmt: skip
    plain = declare(style="as_resulting")
    sealed = declare(*BATCH, seal, style="as_resulting", cured_mass_grams=Decimal(1325))
    assert sealed.saponified_fraction == plain.saponified_fraction
    assert abs(sealed.balance.residual_grams) < NOTHING
    assert sum((e.grams for e in sealed.entries), Decimal()) - Decimal(1325) < NOTHING


def test_scents_listed_apart_by_their_names():
    apart = replace(FRAGRANCE, names=names("Cedar Oil", "Cedrus Oil"), is_named_apart=True)
    assert declare(*BATCH[:5], apart, market="us_soap").text.endswith("Sodium Hydroxide, Cedar Oil")
    assert declare(*BATCH[:5], FRAGRANCE, market="us_soap").text.endswith("Sodium Hydroxide, Fragrance")


def test_nano_is_said_in_europe():
    """Regulation (EC) No 1223/2009, Art. 19(1)(g), read: the name is followed by (nano)."""
    tiny = replace(KAOLIN, names=names("Zinc Oxide"), is_nano=True)
    assert "Zinc Oxide (nano)" in declare(*BATCH, tiny).text.split(", ")
    assert "Zinc Oxide" in declare(*BATCH, tiny, market="us_cosmetic").text.split(", ")


def test_canada_takes_its_own_word_or_the_european_one():
    mine = replace(KAOLIN, names=replace(KAOLIN.names, eu="Kaolin EU", ca="Kaolin CA"))
    assert "Kaolin CA" in declare(*BATCH[:5], mine, market="ca").text.split(", ")
    assert "Aqua" in declare(market="ca").text.split(", ")
    assert declare(market="ca").heading == "Ingredients/Ingrédients"
