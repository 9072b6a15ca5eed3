"""What a scale can weigh: rounding to its step, the smallest dose, the accepted band, and what an error does."""

from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from typing import Literal

# Shape of the rule: USP general chapter 41, 2 × s / smallest net weight; s is never taken below 0.41 steps.
REPEATABILITY_FACTOR = Decimal(2)
LEAST_SD_STEPS = Decimal("0.41")
CAPACITY_NOTE_FRACTION = Decimal("0.95")  # own choice
# Accepted errors by kind of material: own choice, nobody publishes them for soap.
TOLERANCE_FRACTIONS: dict[str, Decimal] = {
    "alkali": Decimal("0.005"),
    "fat": Decimal("0.01"),
    "water": Decimal("0.02"),
    "dose": Decimal("0.02"),
    "minor": Decimal("0.05"),
}
# Largest errors on first verification, class III, in steps: OIML R 76-1:2006; in service twice that.
CLASS_III_ERROR_STEPS = ((500, Decimal("0.5")), (2000, Decimal(1)), (10000, Decimal("1.5")))
IN_SERVICE_FACTOR = 2
POT_CHECK_STEPS, POT_CHECK_FRACTION = 2, Decimal("0.002")  # own choice: 2 steps + 0.2 % of the pot
Rounding = Literal["lye", "other"]


class WeighingError(ValueError):
    """A dose cannot be weighed as planned. The message tells the mend."""


class DoseTooSmall(WeighingError):
    """No scale at hand can weigh so little well enough."""


class ScaleOverloaded(WeighingError):
    """Vessel and dose together are more than the scale takes."""


@dataclass(frozen=True)
class Scale:
    """A scale of the workshop. The sd is the sample standard deviation of ten weighings of one mass."""

    name: str
    step_grams: Decimal
    max_grams: Decimal
    min_grams: Decimal = Decimal(0)
    sd_grams: Decimal | None = None


@dataclass(frozen=True)
class AcceptBand:
    low_grams: Decimal
    high_grams: Decimal

    def holds(self, grams: Decimal) -> bool:
        return self.low_grams <= grams <= self.high_grams


@dataclass(frozen=True)
class WeighPlan:
    """One dose on one scale: grams to weigh, the accepted band, and a note when the scale is nearly full."""

    scale: Scale
    grams: Decimal
    band: AcceptBand
    smallest_grams: Decimal
    note: str = ""


def round_to_step(grams: Decimal, step_grams: Decimal, *, kind: Rounding = "other") -> Decimal:
    """Return the grams as the scale can show them: lye rounds down, everything else to the nearest step."""
    return _steps(grams, step_grams, ROUND_FLOOR if kind == "lye" else ROUND_HALF_UP)


def smallest_dose_grams(
    *,
    scale_min_grams: Decimal,
    sd_grams: Decimal | None,
    step_grams: Decimal,
    tolerance_fraction: Decimal,
    weighed_in_parts: int = 1,
) -> Decimal:
    """Return the least dose a scale weighs within the tolerance; unknown sd counts as 0.41 steps."""
    if step_grams <= 0 or tolerance_fraction <= 0 or weighed_in_parts < 1:
        raise WeighingError("A scale has a step and a tolerance above 0. Correct the scale in the settings.")
    sd = max(sd_grams or Decimal(0), LEAST_SD_STEPS * step_grams) * Decimal(weighed_in_parts).sqrt()
    return max(scale_min_grams, REPEATABILITY_FACTOR * sd / tolerance_fraction)


def accept_band(planned_grams: Decimal, tolerance_fraction: Decimal, step_grams: Decimal) -> AcceptBand:
    """Return the band a weighing must fall in, rounded inward to the step of the scale."""
    low = _steps(planned_grams * (1 - tolerance_fraction), step_grams, ROUND_CEILING)
    high = _steps(planned_grams * (1 + tolerance_fraction), step_grams, ROUND_FLOOR)
    if low > high:
        raise DoseTooSmall(
            f"Not one step of {_figure(step_grams)} g lies within {_figure(tolerance_fraction * 100)} % "
            f"of {_figure(planned_grams)} g. Use a finer scale, make a bigger batch, or weigh a premix."
        )
    return AcceptBand(low, high)


def weigh_plan(
    grams: Decimal,
    scales: tuple[Scale, ...],
    *,
    tolerance_fraction: Decimal,
    kind: Rounding = "other",
    vessel_grams: Decimal = Decimal(0),
    weighed_in_parts: int = 1,
) -> WeighPlan:
    """Return the dose on the coarsest scale that weighs it well; refuse when none can."""
    if not scales:
        raise WeighingError(
            "No scale is entered yet. Add a scale in the settings, with its step and the most it takes."
        )
    if grams <= 0:
        raise WeighingError("There is nothing to weigh. Give a weight above 0 grams.")
    fine_enough = [
        (scale, smallest)
        for scale in scales
        if (smallest := _smallest(scale, tolerance_fraction, weighed_in_parts)) <= grams
    ]
    if not fine_enough:
        least = min(_smallest(scale, tolerance_fraction, weighed_in_parts) for scale in scales)
        raise DoseTooSmall(
            f"{_figure(grams)} g is too little to weigh: the finest scale here needs {_figure(least)} g for "
            f"{_figure(tolerance_fraction * 100)} %. Use a finer scale, make a bigger batch, or weigh a premix."
        )
    gross_grams = grams / weighed_in_parts + vessel_grams
    strong_enough = [pair for pair in fine_enough if gross_grams <= pair[0].max_grams]
    if not strong_enough:
        most = max(scale.max_grams for scale, _ in fine_enough)
        raise ScaleOverloaded(
            f"Vessel and contents weigh {_figure(gross_grams)} g, and the scale takes {_figure(most)} g. "
            "Use a lighter vessel, or weigh it in parts."
        )
    scale, smallest = max(strong_enough, key=lambda pair: pair[0].step_grams)
    rounded = round_to_step(grams, scale.step_grams, kind=kind)
    full = gross_grams > scale.max_grams * CAPACITY_NOTE_FRACTION
    note = f"{scale.name} is nearly full: {_figure(gross_grams)} of {_figure(scale.max_grams)} g." if full else ""
    return WeighPlan(scale, rounded, accept_band(rounded, tolerance_fraction, scale.step_grams), smallest, note)


def running_totals(grams: tuple[Decimal, ...]) -> tuple[Decimal, ...]:
    """Return what the display should show after each ingredient in one vessel."""
    totals, total = [], Decimal(0)
    for dose in grams:
        total += dose
        totals.append(total)
    return tuple(totals)


def pot_difference_grams(shown_grams: Decimal, weighed_grams: tuple[Decimal, ...], step_grams: Decimal) -> Decimal:
    """Return 0 when the pot agrees with the sum of its weighings, else what is too much (+) or missing (-)."""
    total = sum(weighed_grams, Decimal(0))
    difference = shown_grams - total
    allowed = POT_CHECK_STEPS * step_grams + POT_CHECK_FRACTION * total
    return difference if abs(difference) > allowed else Decimal(0)


def superfat_actual_fraction(
    planned_fraction: Decimal,
    *,
    lye_error_fraction: Decimal = Decimal(0),
    fat_error_fraction: Decimal = Decimal(0),
    purity_true_fraction: Decimal = Decimal(1),
    purity_assumed_fraction: Decimal = Decimal(1),
) -> Decimal:
    """Return the superfat that results when lye, fats or purity differ from the plan."""
    lye = (1 - planned_fraction) * (1 + lye_error_fraction) * purity_true_fraction / purity_assumed_fraction
    return 1 - lye / (1 + fat_error_fraction)


def in_service_error_grams(step_grams: Decimal, load_grams: Decimal) -> Decimal:
    """Return the largest error a class III scale may show in service at this load."""
    for most_steps, steps in CLASS_III_ERROR_STEPS:
        if load_grams <= most_steps * step_grams:
            return IN_SERVICE_FACTOR * steps * step_grams
    raise WeighingError(
        f"{_figure(load_grams)} g is more than 10 000 steps of {_figure(step_grams)} g. "
        "Check the scale with a smaller mass."
    )


def is_scale_true(*, mass_grams: Decimal, shown_grams: Decimal, limit_grams: Decimal) -> bool:
    """Return whether the daily check with a known mass passes."""
    return abs(shown_grams - mass_grams) <= limit_grams


def _smallest(scale: Scale, tolerance_fraction: Decimal, weighed_in_parts: int) -> Decimal:
    return smallest_dose_grams(
        scale_min_grams=scale.min_grams,
        sd_grams=scale.sd_grams,
        step_grams=scale.step_grams,
        tolerance_fraction=tolerance_fraction,
        weighed_in_parts=weighed_in_parts,
    )


def _steps(grams: Decimal, step_grams: Decimal, rounding: str) -> Decimal:
    return (grams / step_grams).to_integral_value(rounding) * step_grams


def _figure(number: Decimal) -> str:
    """Return a number for a sentence: at most three decimals, no idle zeros."""
    return f"{number.quantize(Decimal('0.001')).normalize():f}"
