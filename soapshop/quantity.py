"""Read what a person types into a box for an amount: "3.5 oz", "1 lb 4 oz", "1 1/2 tsp", "½ tsp", "12,5 g".

What was typed never reaches the unit registry's own parser: a small grammar takes it apart here, only listed units
pass, and the registry sees a Decimal and one of our own unit names.
"""

import re
from collections.abc import Iterator
from decimal import Decimal

from soapshop.typed_units import BY_NAME, BY_SPELLING, Kind, Unit
from soapshop.units import convert, plain

LONGEST_TEXT = 60
MOST_DIGITS = 12


class QuantityRefused(ValueError):
    """What was typed cannot be read as the amount asked for. The message is for the person who typed it."""


FRACTION_SIGNS = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5",
    "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip

_NUMBER = re.compile(
    r"""(?P<whole>[0-9]+)(?:\ *-\ *|\ +)(?P<above>[0-9]+)\ ?/\ ?(?P<below>[0-9]+)   # 1 1/2, 1-1/2
      | (?P<part>[0-9]+)\ ?/\ ?(?P<of>[0-9]+)                                      # 1/2
      | (?P<decimal>[0-9][0-9.,]*|[.,][0-9]+)                                      # 12.5, 12,5, .5
    """,
    re.VERBOSE,
)
_UNIT = re.compile(
    " ?(" + "|".join(re.escape(s) for s in sorted(BY_SPELLING, key=len, reverse=True)) + r")(?![^\W\d_])\.?"
)
_JOIN = re.compile(r" ?(?:\+|,|and(?= )|&)? ?")
_WORD = re.compile(r" ?([^\W\d_][^ ]*)")


def mass_grams(text: str, *, default_unit: str = "", density_g_per_ml: Decimal | None = None) -> Decimal:
    """Read a weight. Volumes (spoons, ml, fl oz) are taken only where the material's density is given."""
    return _read(text, Kind.MASS, default_unit=default_unit, density_g_per_ml=density_g_per_ml)


def length_mm(text: str, *, default_unit: str = "") -> Decimal:
    return _read(text, Kind.LENGTH, default_unit=default_unit)


def volume_ml(text: str, *, default_unit: str = "") -> Decimal:
    return _read(text, Kind.VOLUME, default_unit=default_unit)


def temperature_celsius(text: str, *, default_unit: str = "") -> Decimal:
    return _read(text, Kind.TEMPERATURE, default_unit=default_unit)


def plain_number(text: str) -> Decimal:
    """Read a number without a unit: "12.5", "12,5", "1 1/2", "½"."""
    tidy = _tidy(text, example="12.5")
    match = _NUMBER.fullmatch(tidy)
    if match is None:
        raise QuantityRefused(f"“{_shown(text)}” is not a number. Type digits only, such as 12.5.")
    return _number(match)


def _read(text: str, kind: Kind, *, default_unit: str, density_g_per_ml: Decimal | None = None) -> Decimal:
    """Return the amount in the kind's base unit. `default_unit` is a registry name, used when no unit is typed."""
    tidy = _tidy(text, example=kind.example)
    is_below_zero = tidy.startswith(("-", "−"))
    if is_below_zero and kind is not Kind.TEMPERATURE:
        raise QuantityRefused(f"“{_shown(text)}” is less than nothing. Type {kind.words} of 0 or more.")
    terms = tuple(_terms(tidy.removeprefix("-").removeprefix("−").lstrip(), text, kind, default_unit))
    _judge_sum(terms, text)
    if is_below_zero:
        terms = tuple((-amount, unit) for amount, unit in terms)
    total = sum((_in_base(amount, unit, kind, density_g_per_ml, text) for amount, unit in terms), Decimal())
    if abs(total) > kind.largest:
        raise QuantityRefused(f"“{_shown(text)}” is more than {kind.largest_words}. Check the number and its unit.")
    return plain(total)


def _tidy(text: str, *, example: str) -> str:
    """Return the text in small letters, with single spaces and written-out fractions."""
    if len(text) > LONGEST_TEXT:
        raise QuantityRefused(f"That is too long for one amount. Type it like this: {example}.")
    spaced = "".join(f" {FRACTION_SIGNS[sign]} " if sign in FRACTION_SIGNS else sign for sign in text)
    tidy = " ".join(spaced.lower().split())
    if not tidy:
        raise QuantityRefused(f"Nothing was typed. Type an amount, such as {example}.")
    return tidy


def _terms(tidy: str, text: str, kind: Kind, default_unit: str) -> Iterator[tuple[Decimal, Unit]]:
    """Take the text apart into numbers with their units."""
    position = 0
    while position < len(tidy):
        number = _NUMBER.match(tidy, position)
        if number is None:
            raise QuantityRefused(
                f"“{_shown(text)}” cannot be read as {kind.words}. Type it like this: {kind.example}."
            )
        unit = _UNIT.match(tidy, number.end())
        if unit is not None:
            yield _number(number), BY_SPELLING[unit[1]]
        elif default_unit and number.start() == 0 and number.end() == len(tidy):
            yield _number(number), BY_NAME[default_unit]
        else:
            raise _no_unit(tidy, number.end(), text, kind)
        position = unit.end() if unit is not None else number.end()
        if position < len(tidy):
            position = _JOIN.match(tidy, position).end()  # type: ignore[union-attr]  # it matches nothing, too


def _no_unit(tidy: str, position: int, text: str, kind: Kind) -> QuantityRefused:
    word = _WORD.match(tidy, position)
    if position == len(tidy):
        return QuantityRefused(f"“{_shown(text)}” has no unit. Write the unit behind the number, as in {kind.example}.")
    if word is None:
        return QuantityRefused(f"“{_shown(text)}” cannot be read as {kind.words}. Type it like this: {kind.example}.")
    return QuantityRefused(f"“{_shown(word[1])}” is not a unit used here. Type the amount like this: {kind.example}.")


def _number(match: re.Match[str]) -> Decimal:
    if sum(sign.isdigit() for sign in match[0]) > MOST_DIGITS:
        raise QuantityRefused("That number has too many digits. Check it and type it again.")
    if match["decimal"]:
        return Decimal(_with_point(match["decimal"]))
    above, below = match["above"] or match["part"], match["below"] or match["of"]
    if int(below) == 0:
        raise QuantityRefused(f"“{match[0]}” has 0 below the line. Type a fraction such as 1/2.")
    return Decimal(match["whole"] or 0) + Decimal(above) / Decimal(below)


def _with_point(digits: str) -> str:
    """Return the number with a point and without commas; refuse what two people would read in two ways."""
    if re.fullmatch(r"[0-9]*\.?[0-9]*", digits):
        return digits
    if re.fullmatch(r"[0-9]{1,3}(,[0-9]{3})+\.[0-9]*|[1-9][0-9]{0,2}(,[0-9]{3}){2,}", digits):
        return digits.replace(",", "")
    if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", digits):
        whole = digits.replace(",", "")
        raise QuantityRefused(f"“{digits}” can be read in two ways. Type {whole} or {digits.replace(',', '.')}.")
    if re.fullmatch(r"[0-9]*,[0-9]+", digits):
        return digits.replace(",", ".")
    raise QuantityRefused(f"“{_shown(digits)}” is not a number. Use one point and no commas, such as 1234.5.")


def _judge_sum(terms: tuple[tuple[Decimal, Unit], ...], text: str) -> None:
    """Refuse a sum that looks like a slip: only "1 lb 4 oz" and the like, from the large unit to the small one."""
    sizes = [convert(Decimal(1), unit.name, unit.kind.base_unit) for _, unit in terms] if len(terms) > 1 else []
    is_mixed = len({unit.kind for _, unit in terms}) > 1
    is_temperature = any(unit.kind is Kind.TEMPERATURE for _, unit in terms)
    if sizes and (is_mixed or is_temperature or sizes != sorted(set(sizes), reverse=True)):
        raise QuantityRefused(f"“{_shown(text)}” holds more than one amount. Type one, such as 500 g or 1 lb 4 oz.")


def _in_base(amount: Decimal, unit: Unit, kind: Kind, density_g_per_ml: Decimal | None, text: str) -> Decimal:
    if unit.kind is kind:
        return convert(amount, unit.name, kind.base_unit)
    if kind is Kind.MASS and unit.kind is Kind.VOLUME and density_g_per_ml is not None:
        return convert(amount, unit.name, Kind.VOLUME.base_unit) * density_g_per_ml
    if kind is Kind.MASS and unit.name == "fluid_ounce":
        raise QuantityRefused(f"“{_shown(text)}” is a volume; a weight is needed. For ounces by weight type oz.")
    if kind is Kind.MASS and unit.kind is Kind.VOLUME:
        raise QuantityRefused(
            f"“{_shown(text)}” is a volume; a weight is needed. Weigh it, or give the material a density."
        )
    raise QuantityRefused(f"“{_shown(text)}” is {unit.kind.words}; {kind.words} is needed, such as {kind.example}.")


def _shown(text: str) -> str:
    """Return what was typed, short enough for a sentence."""
    tidy = "".join(sign if sign.isprintable() else " " for sign in text).strip()
    return tidy if len(tidy) <= 30 else tidy[:29] + "…"
