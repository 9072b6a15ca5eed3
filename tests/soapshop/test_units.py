from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from soapshop import units

MASSES = st.decimals(min_value=0, max_value=1_000_000, places=3)
STEPS = st.sampled_from([Decimal("0.01"), Decimal("0.1"), Decimal("0.5"), Decimal(1), Decimal(5)])

# NIST Special Publication 811, appendix B.8 and B.9, and NIST Handbook 44, appendix C: factors marked there as exact.
PUBLISHED = (
    pytest.param("ounce", "gram", "28.349523125", id="ounce, NIST SP 811"),
    pytest.param("pound", "gram", "453.59237", id="pound, NIST SP 811"),
    pytest.param("inch", "millimeter", "25.4", id="inch, NIST SP 811"),
    pytest.param("foot", "millimeter", "304.8", id="foot, NIST SP 811"),
    pytest.param("fluid_ounce", "milliliter", "29.5735295625", id="US fluid ounce, NIST HB 44"),
    pytest.param("cup", "milliliter", "236.5882365", id="US cup, NIST HB 44"),
    pytest.param("tablespoon", "milliliter", "14.78676478125", id="US tablespoon, NIST HB 44"),
    pytest.param("teaspoon", "milliliter", "4.92892159375", id="US teaspoon, NIST HB 44"),
)


@pytest.mark.parametrize(("unit", "base", "expected"), PUBLISHED)
def test_conversion_agrees_with_the_published_factor(unit, base, expected):
    assert units.convert(Decimal(1), unit, base) == Decimal(expected)


def test_gallon_is_231_cubic_inches():
    # NIST Handbook 44, appendix C: the US gallon is 231 cubic inches.
    assert Decimal(231) * units.MM_PER_INCH**3 / 1000 == units.ML_PER_GALLON
    assert units.convert(Decimal(1), "gallon", "milliliter") == units.ML_PER_GALLON


def test_own_constants_agree_with_the_registry():
    assert units.convert(Decimal(1), "ounce", "gram") == units.GRAMS_PER_OUNCE
    assert units.convert(Decimal(1), "pound", "gram") == units.GRAMS_PER_POUND
    assert units.convert(Decimal(1), "inch", "millimeter") == units.MM_PER_INCH
    assert units.convert(Decimal(1), "fluid_ounce", "milliliter") == units.ML_PER_FLUID_OUNCE
    assert units.OUNCES_PER_POUND * units.GRAMS_PER_OUNCE == units.GRAMS_PER_POUND


@pytest.mark.parametrize(
    ("grams", "places", "expected"),
    (
        ("147.474", None, "147.474 g"),
        ("147.500", None, "147.5 g"),
        ("1446.889", 1, "1,446.9 g"),
        ("1000", None, "1,000 g"),
        ("0.05", 1, "0.1 g"),
        ("0", None, "0 g"),
        ("-2.5", None, "−2.5 g"),
        ("-0.0001", None, "0 g"),
        ("5", 2, "5.00 g"),
    ),
)
def test_format_grams(grams, places, expected):
    assert units.format_grams(Decimal(grams), places=places) == expected


@pytest.mark.parametrize(
    ("grams", "expected"),
    (
        # Worked by hand from 453.59237 g and 28.349523125 g.
        ("566.9904625", "1 lb 4 oz"),
        ("453.59237", "1 lb"),
        ("453.5", "1 lb"),
        ("113.398", "4 oz"),
        ("99.2233309375", "3.5 oz"),
        ("0", "0 oz"),
        ("-566.9904625", "−1 lb 4 oz"),
    ),
)
def test_format_pounds_ounces(grams, expected):
    assert units.format_pounds_ounces(Decimal(grams)) == expected


def test_format_mass_follows_the_workshops_unit():
    assert units.format_mass(Decimal("113.398"), unit="g") == "113.398 g"
    assert units.format_mass(Decimal("113.398"), unit="oz") == "4 oz"


def test_other_formats():
    assert units.format_ounces(Decimal("147.4"), places=2) == "5.20 oz"
    assert units.format_kilograms(Decimal(2500)) == "2.5 kg"
    assert units.format_mm(Decimal("25.40")) == "25.4 mm"
    assert units.format_inches(Decimal("88.9")) == "3.5 in"
    assert units.format_fluid_ounces(Decimal("29.5735295625")) == "1 fl oz"
    assert units.format_ml(Decimal("1500")) == "1,500 ml"
    assert units.format_temperature(Decimal(38)) == "38 °C (100 °F)"


@pytest.mark.parametrize(
    ("amount", "step", "nearest", "down"),
    (
        ("147.474", "0.1", "147.5", "147.4"),
        ("147.45", "0.1", "147.5", "147.4"),
        ("12", "5", "10", "10"),
        ("0.04", "0.1", "0", "0"),
    ),
)
def test_round_to_a_scales_step(amount, step, nearest, down):
    assert units.round_to_step(Decimal(amount), step=Decimal(step)) == Decimal(nearest)
    assert units.round_down_to_step(Decimal(amount), step=Decimal(step)) == Decimal(down)


def test_a_step_of_nothing_is_refused():
    with pytest.raises(ValueError, match="must be more than 0 g"):
        units.round_to_step(Decimal(1), step=Decimal(0))


@given(amount=MASSES, step=STEPS)
def test_rounding_down_never_adds_and_loses_less_than_a_step(amount, step):
    rounded = units.round_down_to_step(amount, step=step)
    assert 0 <= amount - rounded < step
    assert rounded % step == 0


@given(amount=MASSES, step=STEPS)
def test_rounding_to_the_nearest_moves_half_a_step_at_most(amount, step):
    assert abs(units.round_to_step(amount, step=step) - amount) <= step / 2


@given(amount=MASSES)
def test_pounds_and_ounces_never_show_sixteen_ounces(amount):
    assert "16 oz" not in units.format_pounds_ounces(amount).replace("−", "").split(" lb ")[-1:]


@given(number=st.decimals(allow_nan=False, allow_infinity=False, min_value=-(10**12), max_value=10**12))
def test_plain_keeps_the_number_and_drops_the_exponent(number):
    assert units.plain(number) == number
    assert "E" not in format(units.plain(number), "f")
