"""Drying toward an equilibrium: what a bar loses, and the fit of that curve to weighed bars.

Loss after t days = L · (1 − e^(−t/T)) with L = (m0 − mE) / (1 − mE): m0 is the water share of the fresh bar, mE the
share it settles at, T the days constant. The fit is the most likely curve under a prior (Gauss-Newton), each bar with
its own true fresh weight. Floats inside: these are estimates of a few percent, never masses that are booked.
"""

import math
from dataclasses import dataclass, replace

from production.cure.normal_equations import FixedMatrix, Matrix, invert, times

LEAST_LOSS, SHORTEST_DAYS, LONGEST_DAYS = 0.002, 2.0, 90.0
# A reading is uncertain by 0.41 scale steps at least (USP general chapter 41) and by what a bar's own damp and
# trimmings do: two parts in a thousand of its weight (own reckoning).
READING_STEPS, BAR_NOISE_FRACTION = 0.41, 0.002
# How many readings' worth of trust the stated noise has before the spread of the readings speaks for itself.
NOISE_TRUST = 6.0
MOST_ROUNDS, CLOSE_ENOUGH = 60, 1e-9


@dataclass(frozen=True)
class Reading:
    """One weighing as a fraction of the bar's fresh weight as recorded; `bar` numbers the bars from 0."""

    bar: int
    days: float
    fraction: float
    noise: float


@dataclass(frozen=True)
class CurvePrior:
    """Where the curve is expected before any weighing, with standard deviations; `most_loss` is the water there is."""

    loss: float
    loss_spread: float
    days: float
    log_days_spread: float
    most_loss: float


@dataclass(frozen=True)
class Curve:
    """The fitted curve. `covariance` is of (loss, log days, mean fresh weight relative to the recorded one)."""

    loss: float
    days: float
    fresh: float
    covariance: FixedMatrix

    def loss_at(self, days: float) -> float:
        return self.loss * risen(days, self.days)

    def gradient_at(self, days: float) -> tuple[float, float]:
        """How the loss at this day changes with the end loss and with the log of the days constant."""
        return risen(days, self.days), -self.loss * _slope(days, self.days)


def risen(days: float, constant: float) -> float:
    """The share of the final loss reached after these days."""
    return -math.expm1(-max(0.0, days) / constant)


def _slope(days: float, constant: float) -> float:
    ratio = max(0.0, days) / constant
    return ratio * math.exp(-ratio)


def reading_noise(grams: float, scale_step_grams: float) -> float:
    """The standard deviation of one reading as a fraction of the bar's weight."""
    return math.hypot(READING_STEPS * scale_step_grams / grams, BAR_NOISE_FRACTION)


def fit_curve(readings: tuple[Reading, ...], weights: tuple[float, ...], prior: CurvePrior) -> Curve:
    """Fit the curve, or return the prior without readings; `weights` are the bars' recorded fresh weights."""
    if not readings:
        spread = ((prior.loss_spread**2, 0.0, 0.0), (0.0, prior.log_days_spread**2, 0.0), (0.0, 0.0, 0.0))
        return Curve(prior.loss, prior.days, 1.0, spread)
    unknowns, covariance = _settle(readings, len(weights), prior)
    misfit = sum((_residual(reading, unknowns) / reading.noise) ** 2 for reading in readings)
    free = max(len(readings) - len(weights) - 1, 0)
    scale = math.sqrt((NOISE_TRUST + misfit) / (NOISE_TRUST + free))
    if scale > 1:
        rougher = tuple(replace(reading, noise=reading.noise * scale) for reading in readings)
        unknowns, covariance = _settle(rougher, len(weights), prior)
    shares = [weight / sum(weights) for weight in weights]
    rows = [[1.0, 0.0, *[0.0] * len(shares)], [0.0, 1.0, *[0.0] * len(shares)], [0.0, 0.0, *shares]]
    small = tuple(
        tuple(sum(a * b for a, b in zip(row, times(covariance, other), strict=True)) for other in rows) for row in rows
    )
    fresh = sum(share * unknown for share, unknown in zip(shares, unknowns[2:], strict=True))
    return Curve(unknowns[0], math.exp(unknowns[1]), fresh, small)


def _settle(readings: tuple[Reading, ...], bars: int, prior: CurvePrior) -> tuple[list[float], Matrix]:
    """Gauss-Newton steps from the prior until nothing moves; returns the unknowns and their covariance."""
    unknowns = [prior.loss, math.log(prior.days), *[1.0] * bars]
    for _ in range(MOST_ROUNDS):
        normal, pull = _normal_equations(readings, unknowns, prior)
        covariance = invert(normal)
        step = times(covariance, pull)
        moved = _within_bounds([a + b for a, b in zip(unknowns, step, strict=True)], prior)
        change = max(abs(a - b) for a, b in zip(moved, unknowns, strict=True))
        unknowns = moved
        if change < CLOSE_ENOUGH:
            break
    return unknowns, covariance


def _normal_equations(
    readings: tuple[Reading, ...], unknowns: list[float], prior: CurvePrior
) -> tuple[Matrix, list[float]]:
    size = len(unknowns)
    normal = [[0.0] * size for _ in range(size)]
    pull = [0.0] * size
    expected = (prior.loss, math.log(prior.days))
    for index, spread in enumerate((prior.loss_spread, prior.log_days_spread)):
        normal[index][index] += 1 / spread**2
        pull[index] += (expected[index] - unknowns[index]) / spread**2
    for reading in readings:
        constant = math.exp(unknowns[1])
        part, fresh, place = risen(reading.days, constant), unknowns[2 + reading.bar], 2 + reading.bar
        slopes = {
            0: -fresh * part,
            1: fresh * unknowns[0] * _slope(reading.days, constant),
            place: 1 - unknowns[0] * part,
        }
        weight = 1 / reading.noise**2
        residual = _residual(reading, unknowns)
        for i, slope in slopes.items():
            pull[i] += weight * slope * residual
            for j, other in slopes.items():
                normal[i][j] += weight * slope * other
    return normal, pull


def _residual(reading: Reading, unknowns: list[float]) -> float:
    loss = unknowns[0] * risen(reading.days, math.exp(unknowns[1]))
    return reading.fraction - unknowns[2 + reading.bar] * (1 - loss)


def _within_bounds(unknowns: list[float], prior: CurvePrior) -> list[float]:
    loss = min(max(unknowns[0], LEAST_LOSS), prior.most_loss)
    log_days = min(max(unknowns[1], math.log(SHORTEST_DAYS)), math.log(LONGEST_DAYS))
    return [loss, log_days, *unknowns[2:]]
