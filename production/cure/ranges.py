"""Estimates as ranges: the truth lies between low and high nine times in ten."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from statistics import NormalDist

COVERAGE_PERCENT = 90
# Standard deviations to either side that hold the stated share.
REACH = NormalDist().inv_cdf(0.5 + COVERAGE_PERCENT / 200)


@dataclass(frozen=True)
class Range:
    low: Decimal
    expected: Decimal
    high: Decimal


@dataclass(frozen=True)
class DayRange:
    low: date
    expected: date
    high: date


def range_around(middle: float, spread: float, *, floor: float, ceiling: float) -> Range:
    def bounded(figure: float) -> Decimal:
        return estimate(min(max(figure, floor), ceiling))

    return Range(bounded(middle - REACH * spread), bounded(middle), bounded(middle + REACH * spread))


def estimate(figure: float) -> Decimal:
    """A float of the estimate as a decimal with three places: more would be pretense."""
    return Decimal(f"{figure:.3f}")


def spread_of(found: Range) -> Decimal:
    """The standard deviation behind a range."""
    return (found.high - found.low) / 2 / estimate(REACH)
