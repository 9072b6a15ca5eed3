"""Read a typed net weight back: what it says, and whether US law lets it stand like that."""

import re
from decimal import Decimal
from fractions import Fraction

from production.labels.net_weight import (
    FRACTION_DENOMINATORS,
    MOST_OUNCE_PLACES,
    OUNCE_GRAMS,
    OUNCES_PER_POUND,
    NetStatement,
    NetWeightError,
    plain,
)

ALLOWED_WORDS = frozenset({"net", "wt", "weight", "oz", "ounce", "ounces", "lb", "lbs", "pound", "pounds", "g", "kg"})
UNITS = {
    "oz": ("oz", Decimal(1)),
    "ounce": ("oz", Decimal(1)),
    "ounces": ("oz", Decimal(1)),
    "lb": ("oz", Decimal(OUNCES_PER_POUND)),
    "lbs": ("oz", Decimal(OUNCES_PER_POUND)),
    "pound": ("oz", Decimal(OUNCES_PER_POUND)),
    "pounds": ("oz", Decimal(OUNCES_PER_POUND)),
    "g": ("g", Decimal(1)),
    "kg": ("g", Decimal(1000)),
}
AMOUNT = re.compile(r"(?:(\d+)\s+)?(\d+)/(\d+)|(\d+(?:\.\d+)?)")
RANGE = re.compile(r"\d\s*(?:-|–|to)\s*\d", re.IGNORECASE)
LONGEST_TEXT = 80
# Two cut figures may part by a gram and a tenth of an ounce before they say different weights.
AGREEMENT_GRAMS = Decimal(1) + OUNCE_GRAMS / 10


def parse_statement(text: str, *, market: str) -> NetStatement:
    """Return what a typed statement says, or refuse it with the mend."""
    typed = " ".join(text.split())
    _refuse_wording(typed)
    segments = [segment for segment in re.split(r"[()]", typed) if segment.strip()]
    ounces: set[Decimal] = set()
    grams: set[Decimal] = set()
    for segment in segments:
        totals = _segment_totals(segment)
        ounces |= {totals["oz"]} if "oz" in totals else set()
        grams |= {totals["g"]} if "g" in totals else set()
    if len(ounces) > 1 or len(grams) > 1:
        raise NetWeightError(f"“{typed}” gives two different weights. Write one weight, in both units.")
    return _statement(typed, next(iter(ounces), None), next(iter(grams), None), market)


def _refuse_wording(typed: str) -> None:
    if not typed or len(typed) > LONGEST_TEXT:
        raise NetWeightError("Write the net weight like “Net Wt 4.25 oz (120 g)”.")
    if RANGE.search(typed):
        raise NetWeightError("A range is not a net weight. Print the lowest weight the bars hold.")
    for word in re.findall(r"[^\W\d_]+", typed.replace(".", " ")):
        if word.casefold() not in ALLOWED_WORDS:
            raise NetWeightError(f"“{word}” may not stand beside the net weight. Take it out.")


def _segment_totals(segment: str) -> dict[str, Decimal]:
    totals: dict[str, Decimal] = {}
    rest = re.sub(r"(?i)\bnet\s+(?:wt\b\.?|weight\b)", " ", segment)
    for piece in re.finditer(rf"({AMOUNT.pattern})\s*([A-Za-z]+)?\.?", rest):
        unit = (piece.group(6) or "").casefold()
        if unit not in UNITS:
            raise NetWeightError(f"“{piece.group(1)}” has no unit. Write oz, lb, g or kg after it.")
        kind, factor = UNITS[unit]
        totals[kind] = totals.get(kind, Decimal()) + _amount(piece, kind) * factor
    return totals


def _amount(piece: re.Match[str], kind: str) -> Decimal:
    if piece.group(5):
        amount = Decimal(piece.group(5))
        if kind == "oz" and -int(amount.as_tuple().exponent) > MOST_OUNCE_PLACES:
            raise NetWeightError(
                f"{amount} has more than two decimals. Cut it to two, or print a fraction such as 1/8."
            )
        return amount
    top, bottom = int(piece.group(3)), int(piece.group(4))
    if bottom not in FRACTION_DENOMINATORS or not 0 < top < bottom or Fraction(top, bottom).denominator != bottom:
        raise NetWeightError(
            f"{top}/{bottom} is no usual fraction of an ounce. Use 1/2, 1/4, 1/8 and so on, lowest terms."
        )
    return Decimal(piece.group(2) or 0) + Decimal(top) / Decimal(bottom)


def _statement(typed: str, ounces: Decimal | None, grams: Decimal | None, market: str) -> NetStatement:
    if grams is None or (market.startswith("us_") and ounces is None):
        raise NetWeightError("The net weight must be given in ounces and in grams. Add the other unit.")
    if ounces is None:
        return NetStatement(typed, None, grams, grams, market)
    exact = ounces * OUNCE_GRAMS
    if abs(exact - grams) > max(AGREEMENT_GRAMS, grams / 100):
        raise NetWeightError(
            f"{plain(ounces)} oz is {exact:.1f} g, not {plain(grams)} g. Correct one of the two figures."
        )
    return NetStatement(typed, ounces, grams, max(grams, exact), market)
