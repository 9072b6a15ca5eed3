"""Rows to frozen records: the doses of a formula with the limits and ranges of their materials."""

from collections.abc import Iterable
from decimal import Decimal
from typing import cast

from formulas.chemistry.results import FormulaResult
from formulas.doses import Basis, Dose, DoseSheet, Pot, dose_sheet
from formulas.models import FormulaLine, Material

Stage = FormulaLine.Stage
HUNDRED = Decimal(100)
ZERO = Decimal(0)


def dose_of(material: Material, grams: Decimal) -> Dose:
    return Dose(
        name=material.name,
        grams=grams,
        is_scent=material.is_scent,
        limit_percent=material.scent_limit_percent,
        limit_source=material.scent_limit_source,
        usual_low_percent=material.dose_low_percent,
        usual_high_percent=material.dose_high_percent,
        basis=cast(Basis, material.dose_basis),
    )


def formula_doses(
    lines: Iterable[FormulaLine], result: FormulaResult | None, *, house_percent: Decimal | None = None
) -> DoseSheet:
    """Return the doses of a formula that could be worked out; an empty sheet for one that could not.

    ``house_percent`` is the workshop's own rule on all scent, of the oils.
    """
    if result is None or result.batch_grams is None or not result.oils_grams:
        return DoseSheet()
    pot = Pot(
        oils_grams=result.oils_grams,
        batter_grams=result.batch_grams,
        lowest_cured_grams=result.batch_grams - (result.water_in_batch_grams or ZERO),
        liquid_grams=sum((grams for _, grams in result.liquids), ZERO),
    )
    added = (line for line in lines if line.stage in (Stage.LYE, Stage.TRACE))
    doses = (dose_of(line.material, pot.oils_grams * line.percent / HUNDRED) for line in added)
    return dose_sheet(doses, pot, house_percent=house_percent)
