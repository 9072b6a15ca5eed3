"""Sugars among the additions are told from the rest; the words are common practice, no source."""

import pytest

from formulas.sugars import is_sugar


@pytest.mark.parametrize("name", ["Honey", "Sugar", "Maple syrup", "Sorbitol"])
def test_a_sugar_is_known_by_its_name(name):
    assert is_sugar(name)


@pytest.mark.parametrize("name", ["Kaolin clay", "Sodium lactate (60 % solution)", "Colloidal oatmeal"])
def test_other_additions_are_not(name):
    assert not is_sugar(name)
