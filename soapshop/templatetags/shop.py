"""How numbers, days and states are shown. Rounds for the eye only; what a page computes with stays exact."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django import template
from django.forms import BoundField
from django.template import Context
from django.utils import timezone
from django.utils.dateformat import format as format_date
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from soapshop import units
from soapshop.money import format_money
from soapshop.shapes import SHAPES
from soapshop.swatches import swatch_svg

register = template.Library()

NOTHING = "–"
CURRENCY_BEFORE_SETTINGS = "USD"


def _amount(written: str) -> SafeString:
    """Keep number and unit on one line, and let the unit be quieter than the number."""
    number, _, unit = written.rpartition(" ")
    if any(letter.isdigit() for letter in unit):
        return format_html('<span class="amount">{}</span>', written)
    return format_html('<span class="amount">{}&nbsp;<span class="unit">{}</span></span>', number, unit)


def _decimal(number: Any) -> Decimal | None:
    return None if number is None or number == "" else Decimal(str(number))


@register.filter
def grams(mass_grams: Any, places: int | None = None) -> str:
    """147.474|grams:1 → 147.5 g"""
    exact = _decimal(mass_grams)
    return NOTHING if exact is None else _amount(units.format_grams(exact, places=places))


@register.filter
def kilograms(mass_grams: Any, places: int | None = None) -> str:
    exact = _decimal(mass_grams)
    return NOTHING if exact is None else _amount(units.format_kilograms(exact, places=places))


@register.filter
def ounces(mass_grams: Any, places: int = 2) -> str:
    """Takes grams: 147.474|ounces → 5.20 oz"""
    exact = _decimal(mass_grams)
    return NOTHING if exact is None else _amount(units.format_ounces(exact, places=places))


@register.filter
def pounds_ounces(mass_grams: Any) -> str:
    """Takes grams: 567|pounds_ounces → 1 lb 4 oz"""
    exact = _decimal(mass_grams)
    return NOTHING if exact is None else _amount(units.format_pounds_ounces(exact))


@register.simple_tag(takes_context=True)
def mass(context: Context, mass_grams: Any, places: int | None = None) -> str:
    """Write a mass in the unit this workshop works in: {% mass batch.grams %}"""
    exact = _decimal(mass_grams)
    if exact is None:
        return NOTHING
    unit = getattr(context.get("workshop"), "mass_unit", "g")
    return _amount(units.format_mass(exact, unit=unit, places=places))


@register.filter
def millimeters(length_mm: Any, places: int | None = None) -> str:
    exact = _decimal(length_mm)
    return NOTHING if exact is None else _amount(units.format_mm(exact, places=places))


@register.filter
def milliliters(volume_ml: Any, places: int | None = None) -> str:
    exact = _decimal(volume_ml)
    return NOTHING if exact is None else _amount(units.format_ml(exact, places=places))


@register.filter
def temperature(celsius: Any) -> str:
    exact = _decimal(celsius)
    return NOTHING if exact is None else format_html('<span class="amount">{}</span>', units.format_temperature(exact))


@register.filter
def percent(number: Any, places: int | None = None) -> str:
    """Takes percents, not fractions: 5|percent → 5%"""
    exact = _decimal(number)
    if exact is None:
        return NOTHING
    rounded = units.round_half_up(exact, places=2 if places is None else places)
    text = f"{units.plain(rounded) if places is None else rounded:,f}".replace("-", "−")
    return format_html('<span class="amount">{}<span class="unit tight">%</span></span>', text)


@register.filter
def fraction_percent(fraction: Any, places: int | None = None) -> str:
    """Takes fractions: 0.05|fraction_percent → 5%"""
    exact = _decimal(fraction)
    return NOTHING if exact is None else percent(exact * 100, places)


@register.simple_tag(takes_context=True)
def money(context: Context, amount: Any, currency: str = "") -> str:
    """Write an amount in the workshop's currency: {% money order.total %}"""
    exact = _decimal(amount)
    if exact is None:
        return NOTHING
    shop_currency = getattr(context.get("workshop"), "currency", CURRENCY_BEFORE_SETTINGS)
    return format_html('<span class="amount">{}</span>', format_money(exact, currency=currency or shop_currency))


# ── Days ────────────────────────────────────────────────────────────────────────────────────────────────────────────
def _day(moment: date | datetime | None, pattern: str) -> str:
    if not moment:
        return NOTHING
    if isinstance(moment, datetime) and timezone.is_aware(moment):
        moment = timezone.localtime(moment)
    day_only = date(moment.year, moment.month, moment.day)
    written = format_date(moment, pattern)
    return format_html('<time datetime="{}">{}</time>', day_only.isoformat(), written)


@register.filter
def day(moment: date | datetime | None) -> str:
    """Tue, May 12"""
    return _day(moment, "D, M j")


@register.filter
def long_day(moment: date | datetime | None) -> str:
    """Tuesday, May 12, 2026"""
    return _day(moment, "l, F j, Y")


@register.filter
def day_year(moment: date | datetime | None) -> str:
    """May 12, 2026"""
    return _day(moment, "M j, Y")


@register.filter
def day_name(moment: date | datetime | None) -> str:
    """Tuesday"""
    return _day(moment, "l")


@register.filter
def moment(at: datetime | None) -> str:
    """May 12, 14:30"""
    return _day(at, "M j, H:i")


@register.filter
def days(count: int | None) -> str:
    """3 days; 1 day"""
    return NOTHING if count is None else f"{count:,} day{'' if abs(count) == 1 else 's'}"


@register.filter
def days_from(target: date | None, today: date) -> str:
    """In 3 days; tomorrow; today; yesterday; 5 days ago. {{ order.wanted_on|days_from:today }}"""
    if target is None:
        return NOTHING
    distance = (target - today).days
    near = {-1: "yesterday", 0: "today", 1: "tomorrow"}
    if distance in near:
        return near[distance]
    return f"in {days(distance)}" if distance > 0 else f"{days(-distance)} ago"


# ── States, shapes and swatches ─────────────────────────────────────────────────────────────────────────────────────
@register.simple_tag
def shape(name: str) -> SafeString:
    """Draw one of our shapes; it says nothing to a screen reader, the word beside it does."""
    svg = f'<svg class="shape" viewBox="0 0 16 16" aria-hidden="true" focusable="false">{SHAPES[name]}</svg>'
    return mark_safe(svg)  # noqa: S308 - our own drawing, named by a template


@register.simple_tag
def state(word: str, shape_name: str) -> SafeString:
    """A state is a word and a shape: {% state "Curing" "waiting" %}"""
    return format_html('<span class="state state-{}">{} <span>{}</span></span>', shape_name, shape(shape_name), word)


@register.simple_tag
def swatch(letter: str, color: str = "", pattern: str = "plain", name: str = "") -> SafeString:
    """A color as it is told apart in a drawing: {% swatch "A" color="#c9a24b" pattern="dots" name="Ochre" %}"""
    return swatch_svg(letter=letter, color=color, pattern=pattern, name=name)


# ── Pieces of a page ────────────────────────────────────────────────────────────────────────────────────────────────
@register.simple_block_tag(takes_context=True, end_name="endkeep")
def keep(context: Context, content: str, name: str) -> str:
    """Keep what the block says under a name, so that the page can say it twice (title and heading)."""
    context[name] = mark_safe(content.strip())  # noqa: S308 - escaped where the block wrote it
    return ""


@register.filter
def button_classes(button: Any) -> str:
    """Classes for a form's button; a submit without classes of its own is the page's next action."""
    own = [name for name in button.field_classes.split() if not name.startswith("btn")]
    if not own and button.input_type == "submit":
        own = ["next"]
    return " ".join(["button", *own])


@register.filter
def field_unit(field: BoundField) -> str:
    """Return the unit that the form gave the widget as data-unit: "g", "%", "bars"."""
    return str(field.field.widget.attrs.get("data-unit", ""))
