from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from soapshop.quantity import QuantityRefused, length_mm, mass_grams, plain_number, temperature_celsius, volume_ml
from soapshop.typed_units import BY_SPELLING, UNITS

# Worked by hand from the exact factors of NIST Special Publication 811 (28.349523125 g, 453.59237 g).
MASSES = (
    ("147.5 g", "147.5"),
    ("147.5g", "147.5"),
    ("3.5oz", "99.2233309375"),
    ("1 lb 4 oz", "566.9904625"),
    ("1lb4oz", "566.9904625"),
    ("1 lb, 4 oz", "566.9904625"),
    ("1 lb and 4 oz", "566.9904625"),
    ("1 lb + 4 oz", "566.9904625"),
    ("1 kg 250 g", "1250"),
    ("½ lb", "226.796185"),
    ("1½ lb", "680.388555"),
    ("1 1/2 lb", "680.388555"),
    ("1-1/2 lb", "680.388555"),
    ("3/4 OZ", "21.26214234375"),
    ("12,5 g", "12.5"),
    ("0,125 g", "0.125"),
    (".5 g", "0.5"),
    ("1,234.5 g", "1234.5"),
    ("1,234,567 g", "1234567"),
    ("250 mg", "0.25"),
    ("  2   Lbs. ", "907.18474"),
    ("0 g", "0"),
)


@pytest.mark.parametrize(("text", "grams"), MASSES)
def test_mass(text, grams):
    assert mass_grams(text) == Decimal(grams)


@pytest.mark.parametrize(
    ("text", "refusal"),
    (
        ("12", "“12” has no unit. Write the unit behind the number, as in 12.5 g or 1 lb 4 oz."),
        ("", "Nothing was typed. Type an amount, such as 12.5 g or 1 lb 4 oz."),
        ("-5 g", "“-5 g” is less than nothing. Type a weight of 0 or more."),
        ("−5 g", "“−5 g” is less than nothing. Type a weight of 0 or more."),
        ("5 fl oz", "“5 fl oz” is a volume; a weight is needed. For ounces by weight type oz."),
        ("2 tsp", "“2 tsp” is a volume; a weight is needed. Weigh it, or give the material a density."),
        ("25 mm", "“25 mm” is a length; a weight is needed, such as 12.5 g or 1 lb 4 oz."),
        ("5 stone", "“stone” is not a unit used here. Type the amount like this: 12.5 g or 1 lb 4 oz."),
        ("12 bars", "“bars” is not a unit used here. Type the amount like this: 12.5 g or 1 lb 4 oz."),
        ("1e400 g", "“e400” is not a unit used here. Type the amount like this: 12.5 g or 1 lb 4 oz."),
        ("9**9**9 g", "“9**9**9 g” cannot be read as a weight. Type it like this: 12.5 g or 1 lb 4 oz."),
        ("nan g", "“nan g” cannot be read as a weight. Type it like this: 12.5 g or 1 lb 4 oz."),
        ("٣ g", "“٣ g” cannot be read as a weight. Type it like this: 12.5 g or 1 lb 4 oz."),
        ("5-6 g", "“5-6 g” cannot be read as a weight. Type it like this: 12.5 g or 1 lb 4 oz."),
        ("1,234 g", "“1,234” can be read in two ways. Type 1234 or 1.234."),
        ("1.234,5 g", "“1.234,5” is not a number. Use one point and no commas, such as 1234.5."),
        ("1.2.3 g", "“1.2.3” is not a number. Use one point and no commas, such as 1234.5."),
        ("1/0 g", "“1/0” has 0 below the line. Type a fraction such as 1/2."),
        ("4 oz 1 lb", "“4 oz 1 lb” holds more than one amount. Type one, such as 500 g or 1 lb 4 oz."),
        ("5 g 5 g", "“5 g 5 g” holds more than one amount. Type one, such as 500 g or 1 lb 4 oz."),
        ("99999999999 g", "“99999999999 g” is more than 10,000 kg. Check the number and its unit."),
        ("9999999999999 g", "That number has too many digits. Check it and type it again."),
        ("5" * 5000, "That is too long for one amount. Type it like this: 12.5 g or 1 lb 4 oz."),
    ),
)
def test_mass_refusals_say_the_mend(text, refusal):
    with pytest.raises(QuantityRefused) as refused:
        mass_grams(text)
    assert str(refused.value) == refusal


def test_a_unit_beside_the_box_is_used_when_none_is_typed():
    assert mass_grams("12.5", default_unit="gram") == Decimal("12.5")
    assert mass_grams("2 oz", default_unit="gram") == Decimal("56.69904625")
    with pytest.raises(QuantityRefused, match="has no unit"):
        mass_grams("1 lb 4", default_unit="gram")


def test_spoons_become_a_weight_only_with_a_density():
    # Two US teaspoons are 9.8578431875 ml (NIST HB 44); of a powder of 0.5 g/ml that is half as many grams.
    assert mass_grams("2 tsp", density_g_per_ml=Decimal("0.5")) == Decimal("4.92892159375")


def test_volumes():
    # NIST Handbook 44, appendix C: a US teaspoon is 4.92892159375 ml.
    assert volume_ml("1 1/2 tsp") == Decimal("7.393382390625")
    assert volume_ml("½ tsp") == Decimal("2.464460796875")
    assert volume_ml("1 fl. oz.") == Decimal("29.5735295625")
    assert volume_ml("0.25 L") == 250
    with pytest.raises(QuantityRefused, match="is a weight; a volume is needed"):
        volume_ml("3 oz")


def test_lengths():
    assert length_mm('3 1/2"') == Decimal("88.9")
    assert length_mm("1 ft 2 in") == Decimal("355.6")
    assert length_mm("2.5cm") == 25
    with pytest.raises(QuantityRefused, match="more than 100 m"):
        length_mm("101000 mm")


def test_temperatures():
    assert temperature_celsius("38 °C") == 38
    assert temperature_celsius("-5 C") == -5
    # 212 °F is 100 °C, by definition of the scale.
    assert temperature_celsius("212F") == 100
    assert temperature_celsius("-40 °F") == -40
    with pytest.raises(QuantityRefused, match="holds more than one amount"):
        temperature_celsius("100 °F 5 °F")
    with pytest.raises(QuantityRefused, match="more than 400 °C"):
        temperature_celsius("500 °C")


def test_plain_numbers():
    assert plain_number("12,5") == Decimal("12.5")
    assert plain_number("1 1/2") == Decimal("1.5")
    with pytest.raises(QuantityRefused, match="“5 g” is not a number"):
        plain_number("5 g")


def test_no_spelling_stands_for_two_units():
    assert len(BY_SPELLING) == sum(len(unit.spellings) for unit in UNITS)


def is_read_or_refused(text: str) -> bool:
    try:
        grams = mass_grams(text, default_unit="gram", density_g_per_ml=Decimal("0.9"))
    except QuantityRefused as refusal:
        return str(refusal).endswith(".")
    return 0 <= grams <= 10_000_000


@given(text=st.text(max_size=80))
def test_any_text_is_read_or_refused(text):
    assert is_read_or_refused(text)


@given(text=st.text(alphabet="0123456789.,/ -+*eEgozlbtspkmfn½()'\"", max_size=30))
def test_text_that_looks_like_an_amount_is_read_or_refused(text):
    assert is_read_or_refused(text)


@given(grams=st.decimals(min_value=0, max_value=1_000_000, places=3))
def test_what_is_written_can_be_read_back(grams):
    assert mass_grams(f"{grams} g") == grams
