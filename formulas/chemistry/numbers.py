"""What counts as a usable number. Floats are a programming slip and raise; NaN and endless figures are a person's."""

from decimal import Decimal

from formulas.chemistry.constants import LARGEST_GRAMS, SMALLEST_GRAMS
from formulas.chemistry.records import FormulaError, Spread

MOST_DIGITS = 30  # before or after the point; nothing in a workshop has more


def is_number(figure: object) -> bool:
    if isinstance(figure, float):
        raise FormulaError("Grams and shares are exact numbers. Hand over a Decimal, not a float.")
    if isinstance(figure, bool):
        return False
    if isinstance(figure, int):
        return abs(figure) < 10**MOST_DIGITS
    return isinstance(figure, Decimal) and figure.is_finite() and abs(figure.adjusted()) < MOST_DIGITS


def is_mass(figure: object) -> bool:
    """Whether a figure is grams that a workshop could weigh: a milligram to a metric ton."""
    return is_number(figure) and SMALLEST_GRAMS <= figure <= LARGEST_GRAMS  # type: ignore[operator]


def is_fraction(figure: object) -> bool:
    return is_number(figure) and 0 <= figure <= 1  # type: ignore[operator]


def is_spread_of_numbers(spread: Spread) -> bool:
    return all(is_number(figure) for figure in (spread.low, spread.plan, spread.high))


def is_in_order(spread: Spread) -> bool:
    return spread.low <= spread.plan <= spread.high


def adds_up(shares: tuple[Decimal, ...]) -> bool:
    """Whether shares make one whole, to a twentieth of a percent."""
    return abs(sum(shares, Decimal(0)) - 1) <= Decimal("0.0005")
