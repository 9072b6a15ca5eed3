"""What one bar of a batch weighs: at the cut, on the day it is handed over, and at the least it can ever dry to.

No Django. Marked bars are taken as bars without the parts that are set on after the cut.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from production.cure.forecast import (
    DryingFacts,
    Forecast,
    ForecastError,
    forecast_cure,
    forecast_loss,
    forecast_weight,
)
from production.cure.weights import MarkedBar

HUNDRED = Decimal(100)
# The drying curve ends near day 100; after that bars creep down by up to another point (see production/cure/forecast).
CREEP_PERCENT = Decimal(1)
# A bar at rest in room air, when no forecast can be made: the same 9 % water the forecast starts from.
REST_WATER_FRACTION = Decimal("0.09")
# A kitchen scale and a hand that cuts: more than this over the batter is a slip, not a tolerance (own reckoning).
OVER_BATTER_FRACTION = Decimal("0.01")


@dataclass(frozen=True)
class BarFacts:
    """What is known about the bars of a batch. `dry_grams` is the part of `batter_grams` that cannot dry away."""

    batter_grams: Decimal
    dry_grams: Decimal
    scent_grams: Decimal
    bars_made: int
    cut_on: date
    is_cut: bool
    mean_cut_grams: Decimal | None = None
    in_molds_grams: Decimal | None = None
    ends_grams: Decimal | None = None
    marked: tuple[MarkedBar, ...] = ()

    @property
    def water_percent(self) -> Decimal:
        return HUNDRED * (1 - self.dry_grams / self.batter_grams) if self.batter_grams else Decimal()


@dataclass(frozen=True)
class BarWeights:
    """One bar. Fractions are of the fresh bar; `low_grams` and `expected_grams` are of the day asked for."""

    on: date
    fresh_grams: Decimal
    fresh_basis: str
    low_grams: Decimal
    expected_grams: Decimal
    cured_fraction: Decimal
    low_fraction: Decimal  # the least that is left on that day, nine times in ten
    lowest_fraction: Decimal  # the least that is ever left: all allergen shares stand on it
    weighings: int
    outweighs_batter: bool = False

    @property
    def is_weighed(self) -> bool:
        return self.weighings > 0


def bar_weights(facts: BarFacts, *, on: date) -> BarWeights:
    """Return the weights of a bar on a day; a day before the cut counts as the cut."""
    on = max(on, facts.cut_on)
    fresh, basis = _fresh(facts)
    dry_fraction = facts.dry_grams / facts.batter_grams if facts.batter_grams else Decimal(1)
    outweighs = fresh * facts.bars_made > facts.batter_grams * (1 + OVER_BATTER_FRACTION)
    try:
        forecast = forecast_cure(_drying_facts(facts, fresh))
    except ForecastError:
        left = min(dry_fraction / (1 - REST_WATER_FRACTION), Decimal(1))
        return BarWeights(
            on, fresh, basis, fresh * dry_fraction, fresh * left, left, dry_fraction, dry_fraction, 0, outweighs
        )
    loss = forecast_loss(forecast, on)
    weight = _weight(forecast, facts, fresh, on)
    lowest = 1 - (forecast.end_loss_percent.high + CREEP_PERCENT) / HUNDRED
    return BarWeights(
        on=on,
        fresh_grams=fresh,
        fresh_basis=basis,
        low_grams=weight[0],
        expected_grams=weight[1],
        cured_fraction=max(1 - loss.expected / HUNDRED, dry_fraction),
        low_fraction=max(1 - loss.high / HUNDRED, dry_fraction),
        lowest_fraction=max(lowest, dry_fraction),
        weighings=sum(len(bar.weighings) for bar in facts.marked),
        outweighs_batter=outweighs,
    )


def _fresh(facts: BarFacts) -> tuple[Decimal, str]:
    if facts.mean_cut_grams:
        return facts.mean_cut_grams, "mean of the bars weighed at the cut"
    made = max(facts.bars_made, 1)
    if facts.is_cut and facts.in_molds_grams and facts.ends_grams is not None:
        return (facts.in_molds_grams - facts.ends_grams) / made, "batter in the molds less the ends, by bars"
    words = "batter by the bars that were cut" if facts.is_cut else "batter by the bars planned"
    return facts.batter_grams / made, words


def _drying_facts(facts: BarFacts, fresh: Decimal) -> DryingFacts:
    scent = HUNDRED * facts.scent_grams / facts.batter_grams if facts.batter_grams else Decimal()
    return DryingFacts(
        cut_on=facts.cut_on,
        water_percent=facts.water_percent,
        bars=facts.marked,
        fresh_grams=fresh,
        scent_percent=scent,
    )


def _weight(forecast: Forecast, facts: BarFacts, fresh: Decimal, on: date) -> tuple[Decimal, Decimal]:
    """The low and the expected mean. Where both the marked bars and the whole cut are known, the lighter counts."""
    by_cut = forecast_weight(forecast, on, fresh_grams=fresh)
    if not forecast.weighings:
        return by_cut.low, by_cut.expected
    by_marked = forecast_weight(forecast, on)
    if facts.mean_cut_grams is None:
        return by_marked.low, by_marked.expected
    return min(by_cut.low, by_marked.low), min(by_cut.expected, by_marked.expected)


def kept_fraction(facts: BarFacts, *, weighed_on: date, until: date) -> Decimal:
    """Return what is left, on a later day, of a bar that was weighed on one: expected then, the least of it later."""
    then, later = bar_weights(facts, on=weighed_on), bar_weights(facts, on=max(until, weighed_on))
    return min(later.low_fraction / then.cured_fraction, Decimal(1))
