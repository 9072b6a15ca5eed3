"""Taking a scale for a weighing: named by the person or usual for the dose, and checked on that day."""

from datetime import date
from decimal import Decimal

from formulas.weighing import ScaleOverloaded
from production.scales.choice import NOTHING, check_load, usual_scale
from production.scales.models import Scale, ScaleCheck


class ScaleRefusal(Exception):
    """A scale cannot be used or changed as asked; the message says why and the mend."""


def take_scale(
    *,
    named: str,
    grams: Decimal,
    on: date,
    step_grams: Decimal,
    tolerance_fraction: Decimal,
    vessel_grams: Decimal = NOTHING,
) -> Scale | None:
    """Return the scale for a weighing, or None in a workshop that keeps no list of scales.

    A scale that failed its check, or was not checked on the day, is not taken.
    """
    scales = list(Scale.objects.in_use())
    if not scales:
        return None
    scale = (
        _named(named, scales) if named else _usual(grams, scales, step_grams=step_grams, tolerance=tolerance_fraction)
    )
    try:
        check_load(grams, scale.figures, vessel_grams=vessel_grams)
    except ScaleOverloaded as refusal:
        raise ScaleRefusal(str(refusal)) from refusal
    _need_check(scale, on)
    return scale


def _named(name: str, scales: list[Scale]) -> Scale:
    for scale in scales:
        if scale.name.lower() == name.strip().lower():
            return scale
    raise ScaleRefusal(f"There is no scale called “{name.strip()[:40]}”. Choose one from the list.")


def _usual(grams: Decimal, scales: list[Scale], *, step_grams: Decimal, tolerance: Decimal) -> Scale:
    figures = usual_scale(
        grams, [scale.figures for scale in scales], step_grams=step_grams, tolerance_fraction=tolerance
    )
    fallback = min(scales, key=lambda scale: (scale.step_grams, -scale.max_grams))
    return next((scale for scale in scales if figures is not None and scale.name == figures.name), fallback)


def _need_check(scale: Scale, on: date) -> None:
    last = ScaleCheck.objects.filter(scale=scale, on=on).first()
    if last is None:
        raise ScaleRefusal(
            f"{scale.name} is not checked today. Put its test weight on under Stores, Scales; "
            "or write there why it is used unchecked."
        )
    if last.verdict == ScaleCheck.Verdict.FAILED:
        raise ScaleRefusal(f"{scale.name} failed its check today. Take another scale, or check it again.")
