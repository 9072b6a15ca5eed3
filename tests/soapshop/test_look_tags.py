"""How numbers, days and states are written. Expected values worked by hand unless a case says otherwise."""

from datetime import date
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.template import Context, Template
from django.utils.html import strip_tags

from soapshop.shapes import SHAPES
from soapshop.swatches import PATTERNS, swatch_svg


def shown(source: str, **context) -> str:
    return Template("{% load shop %}" + source).render(Context(context))


def words(source: str, **context) -> str:
    return strip_tags(shown(source, **context)).replace("&nbsp;", " ")


@pytest.mark.parametrize(
    ("source", "number", "expected"),
    (
        ("{{ n|grams:1 }}", "147.474", "147.5 g"),
        ("{{ n|grams }}", "147.474", "147.474 g"),
        ("{{ n|kilograms:2 }}", "1446.889", "1.45 kg"),
        # 1 oz = 28.349523125 g (NIST Handbook 44, appendix C).
        ("{{ n|ounces }}", "147.474", "5.20 oz"),
        ("{{ n|pounds_ounces }}", "566.9904625", "1 lb 4 oz"),
        ("{{ n|percent }}", "5.00", "5%"),
        ("{{ n|percent:1 }}", "-0.25", "−0.3%"),
        ("{{ n|fraction_percent:1 }}", "0.05", "5.0%"),
        ("{{ n|millimeters }}", "63.5", "63.5 mm"),
        ("{{ n|milliliters:0 }}", "299.6", "300 ml"),
        ("{{ n|temperature }}", "38", "38 °C (100 °F)"),
    ),
)
def test_amounts_carry_their_unit(source, number, expected):
    assert words(source, n=Decimal(number)) == expected


@pytest.mark.parametrize("name", ("grams", "ounces", "percent", "temperature", "day", "days", "millimeters"))
def test_nothing_is_a_dash(name):
    assert shown("{{ n|" + name + " }}", n=None) == "–"


def test_mass_follows_the_workshop():
    ounces = SimpleNamespace(mass_unit="oz")
    assert words("{% mass n %}", n=Decimal("566.9904625"), workshop=ounces) == "1 lb 4 oz"
    assert words("{% mass n places=1 %}", n=Decimal("147.474")) == "147.5 g"


def test_money_follows_the_workshop():
    euros = SimpleNamespace(currency="EUR")
    assert words("{% money n %}", n=Decimal("1234.5"), workshop=euros) == "€1,234.50"
    assert words("{% money n %}", n=Decimal("1234.5")) == "$1,234.50"
    assert words('{% money n "GBP" %}', n=Decimal("2"), workshop=euros) == "£2.00"


@pytest.mark.parametrize(
    ("source", "expected"),
    (
        ("{{ on|day }}", "Tue, May 12"),
        ("{{ on|long_day }}", "Tuesday, May 12, 2026"),
        ("{{ on|day_year }}", "May 12, 2026"),
        ("{{ on|day_name }}", "Tuesday"),
    ),
)
def test_days_are_written_out(source, expected):
    # May 12, 2026 is a Tuesday (calendar).
    assert words(source, on=date(2026, 5, 12)) == expected
    assert 'datetime="2026-05-12"' in shown(source, on=date(2026, 5, 12))


@pytest.mark.parametrize(
    ("target", "expected"),
    (
        (date(2026, 5, 9), "3 days ago"),
        (date(2026, 5, 11), "yesterday"),
        (date(2026, 5, 12), "today"),
        (date(2026, 5, 13), "tomorrow"),
        (date(2026, 6, 6), "in 25 days"),
        (None, "–"),
    ),
)
def test_days_from_today(target, expected, today):
    assert shown("{{ target|days_from:today }}", target=target, today=today) == expected


def test_one_day_is_not_days():
    assert [shown("{{ n|days }}", n=n) for n in (0, 1, 2)] == ["0 days", "1 day", "2 days"]


def test_a_state_is_a_shape_and_a_word():
    html = shown('{% state word "hold" %}', word="On <hold>")
    assert html.startswith('<span class="state state-hold"><svg class="shape"')
    assert html.endswith("<span>On &lt;hold&gt;</span></span>")


def test_shapes_differ():
    assert len(set(SHAPES.values())) == len(SHAPES)


def test_a_shape_that_was_never_drawn_is_a_fault():
    with pytest.raises(KeyError):
        shown('{% shape "nothing" %}')


def test_a_swatch_says_its_letter_and_name():
    html = shown('{% swatch "O" color="#b9a94f" pattern="dots" name="Ochre <1>" %}')
    assert 'aria-label="O, Ochre &lt;1&gt;"' in html
    assert 'fill="#b9a94f"' in html


def test_a_swatch_takes_only_a_plain_color():
    assert 'fill="#ffffff"' in swatch_svg(letter="A", color='red" onload="x')


def test_lines_of_a_dark_swatch_are_light():
    assert "on-dark" in swatch_svg(letter="I", color="#2f3f73", pattern="waves")
    assert "on-dark" not in swatch_svg(letter="C", color="#f3ead2", pattern="waves")


def test_patterns_differ():
    assert len(set(PATTERNS.values())) == len(PATTERNS)


def test_a_kept_block_is_said_twice_and_escaped_once():
    html = shown('{% keep "t" %} {{ name }} {% endkeep %}[{{ t }}][{{ t }}]', name="Salt & clay")
    assert html == "[Salt &amp; clay][Salt &amp; clay]"
