"""The scale a line is weighed on: the one named, else the usual one for its dose; checked that day where scales are
kept on a list."""

from datetime import date
from decimal import Decimal

from production.batches.asked import BatchRefusal
from production.batches.models import Weighing
from production.batches.weigh_out import WeighRules
from production.scales.models import Scale
from production.scales.taking import ScaleRefusal, take_scale
from soapshop.models import Workshop
from soapshop.units import format_grams


def scale_of_line(
    weighing: Weighing, *, named: str, grams: Decimal, on: date, vessel_grams: Decimal = Decimal(0)
) -> tuple[str, Scale | None]:
    """Return the name to keep with the weighing and the scale itself, None in a workshop without a list of scales."""
    return scale_for(weighing.tolerance_class, named=named, grams=grams, on=on, vessel_grams=vessel_grams)


def scale_for(
    tolerance_class: str, *, named: str, grams: Decimal, on: date, vessel_grams: Decimal = Decimal(0)
) -> tuple[str, Scale | None]:
    """Return the same for a dose of this class."""
    rules = WeighRules.of(Workshop.current())
    step, tolerance = rules.step(tolerance_class), rules.tolerance(tolerance_class)
    try:
        scale = take_scale(
            named=named,
            grams=grams,
            on=on,
            step_grams=step,
            tolerance_fraction=tolerance,
            vessel_grams=vessel_grams,
        )
    except ScaleRefusal as refusal:
        raise BatchRefusal(str(refusal)) from refusal
    if scale is None:
        return (named.strip() or f"scale of {format_grams(step)}")[:40], None
    return scale.name, scale
