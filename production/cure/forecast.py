"""What a batch will weigh and when its weights will be steady, as ranges that narrow as bars are weighed.

Masses go in and come out as exact decimals; the estimate between them is made in floats (see drying.py). Every range
holds the truth nine times in ten as long as the batch behaves like the model. The model ends near day 100; after
that bars creep down by up to another point.
"""

import math
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from functools import lru_cache
from statistics import NormalDist

from production.cure.drying import Curve, Reading, fit_curve, reading_noise
from production.cure.normal_equations import quadratic_form
from production.cure.prior import STANDARD_PRIOR, DryingPrior, ForecastError, curve_prior, learned_prior
from production.cure.ranges import COVERAGE_PERCENT, REACH, DayRange, Range, estimate, range_around
from production.cure.weights import SCALE_STEP_GRAMS, MarkedBar, doubts, fresh_grams, in_order, without_doubt

__all__ = [
    "DayRange",
    "DryingFacts",
    "DryingPrior",
    "Forecast",
    "ForecastError",
    "Range",
    "forecast_cure",
    "forecast_loss",
    "forecast_ready_day",
    "forecast_weight",
    "prior_from_batches",
]


# Forecasts kept in memory: more batches than lie on the rack of any small workshop.
MOST_REMEMBERED = 2000
_GRID = tuple(NormalDist().inv_cdf((place + 0.5) / 15) for place in range(15))


@dataclass(frozen=True)
class DryingFacts:
    """One batch as the forecast sees it. `water_percent` is the water share of the bar at the cut.

    `fresh_grams` is the mean fresh weight, used until a bar has been weighed.
    """

    cut_on: date
    water_percent: Decimal
    bars: tuple[MarkedBar, ...] = ()
    fresh_grams: Decimal | None = None
    scent_percent: Decimal = Decimal()
    prior: DryingPrior = STANDARD_PRIOR
    scale_step_grams: Decimal = SCALE_STEP_GRAMS


@dataclass(frozen=True)
class Forecast:
    """The fitted batch. `end_loss_percent` is the loss it settles at, `days` its constant (63 % of the way)."""

    cut_on: date
    water_percent: Decimal
    fresh_grams: Decimal | None
    end_loss_percent: Range
    end_water_percent: Range
    days: Range
    weighings: int
    most_loss_percent: Decimal
    curve: Curve


@lru_cache(maxsize=MOST_REMEMBERED)
def forecast_cure(facts: DryingFacts) -> Forecast:
    """Fit the batch's curve to its weighings, held by the prior and by the water there is.

    Remembered: the same frozen facts always give the same forecast, and a rack asks for it on every look.
    """
    prior = curve_prior(facts.water_percent, facts.scent_percent, facts.prior)
    bars = _sound_bars(facts)
    readings = _readings(facts, bars)
    weights = tuple(float(fresh_grams(bar) or 0) for bar in bars)
    curve = fit_curve(readings, weights, prior)
    mean = sum((fresh_grams(bar) or Decimal() for bar in bars), Decimal()) / len(bars) if bars else facts.fresh_grams
    spread = math.sqrt(curve.covariance[0][0]), math.sqrt(curve.covariance[1][1])
    loss = range_around(curve.loss * 100, spread[0] * 100, floor=0, ceiling=prior.most_loss * 100)
    return Forecast(
        cut_on=facts.cut_on,
        water_percent=facts.water_percent,
        fresh_grams=mean,
        end_loss_percent=loss,
        end_water_percent=Range(
            *(_end_water(facts.water_percent, each) for each in (loss.high, loss.expected, loss.low))
        ),
        days=Range(*(estimate(curve.days * math.exp(reach * REACH * spread[1])) for reach in (-1, 0, 1))),
        weighings=len(readings),
        most_loss_percent=facts.water_percent + facts.scent_percent,
        curve=curve,
    )


def forecast_loss(forecast: Forecast, on: date) -> Range:
    """Percent of the fresh weight lost by this day."""
    days = (on - forecast.cut_on).days
    spread = math.sqrt(max(0.0, quadratic_form(forecast.curve.covariance, [*forecast.curve.gradient_at(days), 0.0])))
    return range_around(
        forecast.curve.loss_at(days) * 100, spread * 100, floor=0, ceiling=float(forecast.most_loss_percent)
    )


def forecast_weight(forecast: Forecast, on: date, *, fresh_grams: Decimal | None = None) -> Range:
    """Grams of the mean marked bar on this day, or of a bar that weighed `fresh_grams` at the cut."""
    fresh = forecast.fresh_grams if fresh_grams is None else fresh_grams
    if fresh is None:
        raise ForecastError("No fresh weight is known. Weigh a bar at the cut, or enter the bar's fresh weight.")
    if fresh_grams is not None or not forecast.weighings:
        loss = forecast_loss(forecast, on)
        return Range(*(fresh * (100 - each) / 100 for each in (loss.high, loss.expected, loss.low)))
    days = (on - forecast.cut_on).days
    kept, true = 1 - forecast.curve.loss_at(days), forecast.curve.fresh
    by_loss, by_days = forecast.curve.gradient_at(days)
    spread = math.sqrt(max(0.0, quadratic_form(forecast.curve.covariance, [-true * by_loss, -true * by_days, kept])))
    grams = float(fresh)
    floor = grams * true * (1 - float(forecast.most_loss_percent) / 100)
    return range_around(true * kept * grams, spread * grams, floor=floor, ceiling=grams * max(1.0, true))


def forecast_ready_day(
    forecast: Forecast, *, poured_on: date, cure_days: int, weekly_loss_limit_percent: Decimal = Decimal(1)
) -> DayRange:
    """The day both the cure days are over and the loss of the last week is under the limit."""
    over_on = poured_on + timedelta(days=cure_days)
    limit = float(weekly_loss_limit_percent) / 100
    steady = _steady_days(forecast.curve, limit)
    low, expected, high = (max(over_on, forecast.cut_on + timedelta(days=day)) for day in steady)
    return DayRange(low, expected, high)


def prior_from_batches(finished: tuple[Forecast, ...], start: DryingPrior = STANDARD_PRIOR) -> DryingPrior:
    """What the workshop's own finished batches of a formula teach; with none it is the start."""
    return learned_prior(tuple((each.end_water_percent, each.days) for each in finished), start) if finished else start


def _sound_bars(facts: DryingFacts) -> tuple[MarkedBar, ...]:
    """The bars with a fresh weight, without the weighings that cannot be true."""
    most = facts.water_percent + facts.scent_percent
    sound = []
    for bar in facts.bars:
        questioned = doubts(
            bar,
            cut_on=facts.cut_on,
            today=date.max,
            most_loss_percent=most,
            scale_step_grams=facts.scale_step_grams,
        )
        sound.append(without_doubt(bar, questioned))
    return tuple(bar for bar in sound if (fresh_grams(bar) or 0) > 0)


def _readings(facts: DryingFacts, bars: tuple[MarkedBar, ...]) -> tuple[Reading, ...]:
    found = []
    for number, bar in enumerate(bars):
        fresh = fresh_grams(bar) or Decimal()
        noise = reading_noise(float(fresh), float(facts.scale_step_grams))
        weighings = [((each.on - facts.cut_on).days, each.grams) for each in in_order(bar)]
        if bar.cut_grams is not None and (not weighings or weighings[0][0] > 0):
            weighings.insert(0, (0, bar.cut_grams))
        found += [Reading(number, days, float(grams / fresh), noise) for days, grams in weighings if days >= 0]
    return tuple(found)


def _likely_curves(curve: Curve) -> list[tuple[float, float]]:
    """Evenly likely (loss, days) pairs of the fitted curve's own spread."""
    (loss_variance, shared, _), (_, days_variance, _), _ = curve.covariance
    loss_spread = math.sqrt(loss_variance)
    tilt = shared / loss_spread if loss_spread else 0.0
    rest = math.sqrt(max(0.0, days_variance - tilt**2))
    return [
        (max(curve.loss + a * loss_spread, 1e-4), curve.days * math.exp(a * tilt + b * rest))
        for a in _GRID
        for b in _GRID
    ]


@lru_cache(maxsize=MOST_REMEMBERED)
def _steady_days(curve: Curve, limit: float) -> tuple[int, int, int]:
    """Low, expected and high count of whole days after the cut until the weights are steady. Remembered."""
    days = sorted(_steady_day(loss, constant, limit) for loss, constant in _likely_curves(curve))
    least = (100 - COVERAGE_PERCENT) / 200
    low, expected, high = (math.ceil(days[int(len(days) * share)]) for share in (least, 0.5, 1 - least))
    return low, expected, high


def _steady_day(loss: float, constant: float, limit: float) -> float:
    """Days after the cut from which the loss of the last seven days is below the limit (a fraction)."""
    growth = loss * (math.exp(7 / constant) * (1 - limit) - 1)
    if growth <= 0:
        return 7.0
    share = limit * (1 - loss) / growth
    if share >= math.exp(-7 / constant):
        return 7.0
    return -constant * math.log(share)


def _end_water(water_percent: Decimal, loss_percent: Decimal) -> Decimal:
    left = (water_percent - loss_percent) / (100 - loss_percent) * 100
    return max(left, Decimal())
