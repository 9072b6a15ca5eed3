"""What is expected of a batch before any bar is weighed: defaults at first, then the workshop's own batches."""

import math
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from production.cure.drying import CurvePrior
from production.cure.ranges import Range, spread_of

# How much batches of one formula differ among themselves (own reckoning).
BETWEEN_WATER_PERCENT, BETWEEN_DAYS = Decimal(1), Decimal("1.5")


class ForecastError(ValueError):
    """The figures cannot be forecast from; the message is for people."""


@dataclass(frozen=True)
class DryingPrior:
    """What is expected before any weighing, with standard deviations.

    Public records fit 9 % water at rest (5 in a dry room, 12 in a damp one) and 10 to 14 days (own reckoning from
    threads of soap makers); a workshop's own finished batches replace both.
    """

    end_water_percent: Decimal = Decimal(9)
    end_water_spread_percent: Decimal = Decimal("1.8")
    days: Decimal = Decimal(12)
    days_spread: Decimal = Decimal("1.8")
    water_spread_percent: Decimal = Decimal(1)


STANDARD_PRIOR = DryingPrior()


def curve_prior(water_percent: Decimal, scent_percent: Decimal, prior: DryingPrior) -> CurvePrior:
    """Turn the expectation of the water at rest into one of the loss, for a bar with this much water."""
    if not 0 < water_percent < 60:
        raise ForecastError("The water share of the fresh bar must lie between 0 and 60 %. Check the liquid.")
    if prior.days <= 0 or prior.days_spread <= 0 or prior.end_water_spread_percent <= 0:
        raise ForecastError("The expected days and spreads must be above zero. Correct the workshop's figures.")
    water = float(water_percent) / 100
    rest = min(float(prior.end_water_percent) / 100, water * 0.95)
    by_rest, by_water = (1 - water) / (1 - rest) ** 2, 1 / (1 - rest)
    spread = math.hypot(
        by_rest * float(prior.end_water_spread_percent) / 100,
        by_water * float(prior.water_spread_percent) / 100,
    )
    return CurvePrior(
        loss=(water - rest) / (1 - rest),
        loss_spread=spread,
        days=float(prior.days),
        log_days_spread=float(prior.days_spread / prior.days),
        most_loss=water + float(scent_percent) / 100,
    )


@lru_cache(maxsize=500)
def learned_prior(finished: tuple[tuple[Range, Range], ...], start: DryingPrior) -> DryingPrior:
    """Blend the start with the (end water, days) of finished batches, each by how well it is known. Remembered."""
    water = [(end_water.expected, spread_of(end_water)) for end_water, _ in finished]
    days = [(constant.expected, spread_of(constant)) for _, constant in finished]
    end_water, water_spread = _pooled(
        start.end_water_percent, start.end_water_spread_percent, water, BETWEEN_WATER_PERCENT
    )
    constant, days_spread = _pooled(start.days, start.days_spread, days, BETWEEN_DAYS)
    return replace(
        start,
        end_water_percent=end_water,
        end_water_spread_percent=water_spread,
        days=constant,
        days_spread=days_spread,
    )


def _pooled(
    start: Decimal, start_spread: Decimal, found: list[tuple[Decimal, Decimal]], between: Decimal
) -> tuple[Decimal, Decimal]:
    trust = 1 / start_spread**2
    total = start * trust
    for figure, spread in found:
        own = 1 / (spread**2 + between**2)
        trust, total = trust + own, total + figure * own
    return total / trust, (1 / trust + between**2).sqrt()
