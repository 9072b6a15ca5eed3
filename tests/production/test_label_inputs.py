"""Frozen materials as the ingredient list takes them."""

from dataclasses import replace
from decimal import Decimal

import pytest

from formulas.declaration import AllergenShare
from production.batches.frozen import FrozenMaterial, FrozenPart
from production.labels.declared_inputs import declared_input, is_content, part_input, with_present_words

PLAIN = FrozenMaterial(1, "Olive oil", "fat", sap_plan=Decimal(190), label_name_us="Olive Oil")
CONFIRMED = replace(PLAIN, has_confirmed_names=True)
PART = FrozenPart(1, "seal", "Seal", "seal", 10, 1, "cured", Decimal(4), True, False, "#c9a227")


@pytest.mark.parametrize(
    ("kind", "role"),
    (
        ("fat", "fat"),
        ("alkali", "alkali"),
        ("liquid", "liquid"),
        ("acid", "acid"),
        ("additive", "additive"),
        ("fragrance", "scent"),
        ("essential_oil", "scent"),
        ("colorant", "colorant"),
        ("botanical", "botanical"),
    ),
)
def test_every_kind_has_its_role(kind, role):
    assert declared_input(replace(PLAIN, kind=kind, alkali_kind="NaOH"), Decimal(10)).role == role


def test_packaging_is_no_content():
    assert not is_content(replace(PLAIN, kind="packaging"))
    assert is_content(PLAIN)


def test_unknown_allergens_stay_unknown():
    scent = replace(PLAIN, kind="fragrance", allergens=(("Linalool", Decimal(12)),))
    assert declared_input(scent, Decimal(5)).allergens is None
    stated = declared_input(replace(scent, has_allergen_statement=True), Decimal(5))
    assert stated.allergens == (AllergenShare("Linalool", Decimal(12)),)
    assert declared_input(replace(PLAIN, has_allergen_statement=True), Decimal(5)).allergens == ()


def test_a_fatty_acid_is_known_by_its_name():
    assert declared_input(replace(PLAIN, name="Stearic acid"), Decimal(5)).is_fatty_acid
    assert not declared_input(PLAIN, Decimal(5)).is_fatty_acid
    assert not declared_input(replace(PLAIN, name="Citric acid", kind="acid"), Decimal(5)).is_fatty_acid


def test_a_liquid_of_unknown_water_counts_as_water():
    assert declared_input(replace(PLAIN, kind="liquid"), Decimal(5)).water_fraction == 1
    milk = replace(PLAIN, kind="liquid", water_percent=Decimal(87), fat_percent=Decimal(4))
    milk = replace(milk, fat_sap_low=Decimal(220), fat_sap_high=Decimal(240))
    given = declared_input(milk, Decimal(5))
    assert (given.water_fraction, given.fat_fraction) == (Decimal("0.87"), Decimal("0.04"))
    assert given.fat_sap_koh_mg_per_g == Decimal(230)


def test_words_are_taken_from_today_until_a_person_confirmed_them():
    today = replace(CONFIRMED, label_name_us="Olea Europaea (Olive) Fruit Oil", sap_plan=Decimal(199))
    mended = with_present_words(PLAIN, today)
    assert mended.label_name_us == "Olea Europaea (Olive) Fruit Oil"
    assert mended.has_confirmed_names
    assert mended.sap_plan == Decimal(190)  # chemistry stays as it was in the pot
    assert with_present_words(CONFIRMED, today) == CONFIRMED
    assert with_present_words(PLAIN, None) == PLAIN


def test_an_allergen_statement_that_came_later_counts():
    today = replace(PLAIN, has_allergen_statement=True, allergens=(("Linalool", Decimal(3)),))
    assert with_present_words(PLAIN, today).allergens == (("Linalool", Decimal(3)),)
    before = replace(PLAIN, has_allergen_statement=True)
    assert with_present_words(before, today).allergens == ()


def test_the_pieces_of_a_part_are_made_of_their_shares():
    given = part_input(PART, bars=10, ingredients=((PLAIN, Decimal(95)), (replace(PLAIN, kind="colorant"), Decimal(5))))
    assert given.grams == Decimal(40)
    assert [component.grams for component in given.components] == [Decimal("38.000"), Decimal("2.000")]


def test_two_pieces_on_a_bar_weigh_twice():
    """Worked by hand: 4 g a piece, two on a bar, ten bars."""
    both = part_input(replace(PART, pieces_per_bar=2), bars=10, ingredients=((PLAIN, Decimal(100)),))
    assert (both.grams, both.components[0].grams) == (Decimal(80), Decimal(80))
