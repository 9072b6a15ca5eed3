"""The workshop's settings to frozen records: the steps of its scales and the errors it accepts."""

from decimal import Decimal

from formulas.scale_rounding import ScaleSteps
from soapshop.models import Workshop

HUNDRED = Decimal(100)


def scale_steps(workshop: Workshop) -> ScaleSteps:
    lye, fat, dose = workshop.lye_scale_step_grams, workshop.fat_scale_step_grams, workshop.dose_scale_step_grams
    return ScaleSteps(
        lye_grams=lye,
        fat_grams=fat,
        dose_grams=dose,
        finest_grams=min(lye, fat, dose, workshop.minor_scale_step_grams),
        alkali_fraction=workshop.alkali_tolerance_percent / HUNDRED,
        fat_fraction=workshop.fat_tolerance_percent / HUNDRED,
        liquid_fraction=workshop.liquid_tolerance_percent / HUNDRED,
        dose_fraction=workshop.dose_tolerance_percent / HUNDRED,
        minor_fraction=workshop.minor_tolerance_percent / HUNDRED,
    )
