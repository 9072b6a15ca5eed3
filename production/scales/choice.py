"""Which scale a line is weighed on unless a person takes another. Rules only."""

from collections.abc import Iterable
from decimal import Decimal

from formulas.weighing import Scale, ScaleOverloaded, WeighingError, smallest_dose_grams
from soapshop.units import format_grams

NOTHING = Decimal(0)
NEARLY_FULL_FRACTION = Decimal("0.95")  # own choice, as in the plan of a weighing


def usual_scale(
    grams: Decimal, scales: Iterable[Scale], *, step_grams: Decimal, tolerance_fraction: Decimal
) -> Scale | None:
    """Return the coarsest scale that shows the planned step, takes the dose and weighs it well; None if none does.

    Of equally coarse ones the largest.
    """
    fit = [
        scale
        for scale in scales
        if scale.step_grams <= step_grams and grams <= scale.max_grams and _smallest(scale, tolerance_fraction) <= grams
    ]
    return max(fit, key=lambda scale: (scale.step_grams, scale.max_grams), default=None)


def smallest_on_any(scales: Iterable[Scale], tolerance_fraction: Decimal) -> Decimal:
    """Return the least dose that one of these scales weighs within the tolerance. There must be a scale."""
    return min(_smallest(scale, tolerance_fraction) for scale in scales)


def check_load(grams: Decimal, scale: Scale, *, vessel_grams: Decimal = NOTHING) -> None:
    """Refuse more than the scale takes. The vessel and what is in it press on it too, zeroed away or not (rule W2)."""
    if grams + vessel_grams <= scale.max_grams:
        return
    beside = f" with the {format_grams(vessel_grams)} that stand on it already" if vessel_grams else ""
    raise ScaleOverloaded(
        f"{scale.name} takes {format_grams(scale.max_grams)}, and this is "
        f"{format_grams(grams + vessel_grams)}{beside}. "
        "Take a larger scale, or weigh it in parts."
    )


def nearly_full(grams: Decimal, scale: Scale) -> str:
    """Return a note when the scale carries more than 95 % of what it takes, else nothing (rule W2)."""
    if grams <= NEARLY_FULL_FRACTION * scale.max_grams:
        return ""
    return f"{scale.name} is nearly full: {format_grams(grams)} of {format_grams(scale.max_grams)}."


def check_reading(shown_grams: Decimal, scale: Scale) -> None:
    """Refuse a test reading that no such scale can show."""
    if shown_grams < 0 or shown_grams > scale.max_grams:
        raise WeighingError(
            f"{scale.name} shows from 0 g to {format_grams(scale.max_grams)}. Read the display once more."
        )


def _smallest(scale: Scale, tolerance_fraction: Decimal) -> Decimal:
    return smallest_dose_grams(
        scale_min_grams=scale.min_grams,
        sd_grams=scale.sd_grams,
        step_grams=scale.step_grams,
        tolerance_fraction=tolerance_fraction,
    )
