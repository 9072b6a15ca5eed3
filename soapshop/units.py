"""Masses, lengths, volumes and temperatures: exact conversion, rounding, and how they are written.

Inside the program a mass is grams, a length millimeters, a volume milliliters and a temperature degrees Celsius, always
as Decimal. Other units exist at the edges only: what a person types (`soapshop.quantity`) and what a person reads.
"""

from decimal import ROUND_DOWN, ROUND_HALF_UP, Context, Decimal
from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pint

# Exact by definition: the international avoirdupois pound of 1959 and its sixteenth part, the international inch, and
# the US gallon of 231 cubic inches with its 128th part (NIST Special Publication 811, appendix B; NIST Handbook 44,
# appendix C).
GRAMS_PER_POUND = Decimal("453.59237")
GRAMS_PER_OUNCE = Decimal("28.349523125")
MM_PER_INCH = Decimal("25.4")
ML_PER_GALLON = Decimal("3785.411784")
ML_PER_FLUID_OUNCE = Decimal("29.5735295625")
OUNCES_PER_POUND = 16

STORED_MASS_PLACES = 3
# Conversion divides at 28 digits; the last few are noise and are dropped here.
_SOUND_DIGITS = Context(prec=20)


@cache
def registry() -> "pint.UnitRegistry[Any]":
    """Return the one unit registry, made on first use (about 0.2 s). Never hand it text that a person typed."""
    import pint

    return pint.UnitRegistry(non_int_type=Decimal)


def convert(amount: Decimal, from_unit: str, to_unit: str) -> Decimal:
    """Return the amount in another unit of the same kind. Unit names are ours, never a person's words."""
    units = registry()
    converted = units.Quantity(amount, from_unit).to(to_unit).magnitude
    return plain(_SOUND_DIGITS.plus(Decimal(converted)))


def plain(amount: Decimal) -> Decimal:
    """Return the same number without an exponent and without zeros at the end: 1E+3 becomes 1000, 2.50 becomes 2.5."""
    if amount == amount.to_integral_value():
        return amount.quantize(Decimal(1), context=Context(prec=60))
    return amount.normalize(Context(prec=60))


def round_grams(grams: Decimal, *, places: int = STORED_MASS_PLACES) -> Decimal:
    """Round to so many places after the point; a half goes up, as on a scale's display."""
    return round_half_up(grams, places=places)


def round_half_up(number: Decimal, *, places: int) -> Decimal:
    return number.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)


def round_to_step(amount: Decimal, *, step: Decimal) -> Decimal:
    """Round to the nearest whole number of steps (a scale that shows 0.1 g has the step 0.1); a half goes up."""
    return _in_steps(amount, step, ROUND_HALF_UP)


def round_down_to_step(amount: Decimal, *, step: Decimal) -> Decimal:
    """Round to the next whole number of steps toward nothing: the side on which lye is safe."""
    return _in_steps(amount, step, ROUND_DOWN)


def _in_steps(amount: Decimal, step: Decimal, rounding: str) -> Decimal:
    if step <= 0:
        raise ValueError("A scale's step must be more than 0 g. Set it on the settings page, for example to 0.1 g.")
    return (amount / step).quantize(Decimal(1), rounding=rounding) * step


def _written(number: Decimal, places: int | None, most_places: int) -> str:
    """Write with thousands commas; with places None as many as the number has, up to `most_places`."""
    rounded = round_half_up(number, places=most_places if places is None else places)
    text = f"{plain(rounded) if places is None else rounded:,f}"
    return text.replace("-", "−") if rounded else text.replace("-", "")


def format_grams(grams: Decimal, *, places: int | None = None) -> str:
    """Write "147.5 g"; with `places` always so many, without as many as the mass has (to the milligram)."""
    return f"{_written(grams, places, STORED_MASS_PLACES)} g"


def format_kilograms(grams: Decimal, *, places: int | None = None) -> str:
    return f"{_written(grams / 1000, places, 3)} kg"


def format_ounces(grams: Decimal, *, places: int = 2) -> str:
    """Write "5.20 oz", however many ounces there are."""
    return f"{_written(grams / GRAMS_PER_OUNCE, places, places)} oz"


def format_pounds_ounces(grams: Decimal, *, places: int | None = None) -> str:
    """Write "1 lb 4 oz". Rounded first, so that 15.99 oz is never written as "0 lb 16 oz"."""
    exactness = 2 if places is None else places
    ounces = round_half_up(abs(grams) / GRAMS_PER_OUNCE, places=exactness)
    pounds, rest = divmod(ounces, OUNCES_PER_POUND)
    parts = [f"{pounds:,f} lb"] if pounds else []
    if rest or not pounds or places is not None:
        parts.append(f"{_written(rest, places, exactness)} oz")
    return ("−" if grams < 0 and ounces else "") + " ".join(parts)


def format_mass(grams: Decimal, *, unit: str, places: int | None = None) -> str:
    """Write a mass in the unit a workshop works in: "g" for grams, "oz" for pounds and ounces."""
    if unit == "oz":
        return format_pounds_ounces(grams, places=places)
    return format_grams(grams, places=places)


def format_mm(length_mm: Decimal, *, places: int | None = None) -> str:
    return f"{_written(length_mm, places, 2)} mm"


def format_inches(length_mm: Decimal, *, places: int | None = None) -> str:
    return f"{_written(length_mm / MM_PER_INCH, places, 3)} in"


def format_ml(volume_ml: Decimal, *, places: int | None = None) -> str:
    return f"{_written(volume_ml, places, 2)} ml"


def format_fluid_ounces(volume_ml: Decimal, *, places: int | None = None) -> str:
    """Write US fluid ounces, a measure of volume."""
    return f"{_written(volume_ml / ML_PER_FLUID_OUNCE, places, 2)} fl oz"


def fahrenheit(celsius: Decimal) -> Decimal:
    return celsius * 9 / 5 + 32


def format_temperature(celsius: Decimal) -> str:
    """Write both scales to the whole degree: "38 °C (100 °F)"."""
    return f"{_written(celsius, 0, 0)} °C ({_written(fahrenheit(celsius), 0, 0)} °F)"
