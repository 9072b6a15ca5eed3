"""Rows to sizes: how much of a formula fills a mold, and how much makes so many bars."""

from decimal import Decimal

from formulas.chemistry.results import FormulaResult
from formulas.design_records import mold_of
from formulas.fills import BatterSize, FillFactor
from formulas.geometry import MoldError
from formulas.models import FormulaRevision, Mold
from formulas.scaling import BarsWanted, ScalePlan, scale_to_bars, scale_to_mold_volume

HUNDRED = Decimal(100)
# What a bar still holds when it is sold, percent of its weight: common practice, no source.
USUAL_CURED_MOISTURE_PERCENT = Decimal(10)
LEAST_KEPT_FRACTION = Decimal("0.5")


def own_fill(revision: FormulaRevision) -> FillFactor | None:
    """Return the fill a person typed for this revision, else the one that its own batches showed, if any."""
    if revision.oils_per_ml is not None:
        return FillFactor(revision.oils_per_ml, 0)
    seen = revision.seen_oils_per_ml
    return None if seen is None else FillFactor(seen, revision.seen_fills)


def batter_size(revision: FormulaRevision, result: FormulaResult | None) -> BatterSize:
    """Return what the formula makes. Raises MoldError with the mend when a density is missing."""
    if result is None or result.batch_grams is None or result.oils_grams is None:
        raise MoldError("This formula cannot be made as it stands. Mend what is said above first.")
    volume, own = result.batter_volume_ml, own_fill(revision)
    if volume is None and own is not None:
        volume = result.oils_grams / own.oils_g_per_ml
    if volume is None:
        raise MoldError(
            "How much of this formula fills a mold cannot be reckoned, because the density of an oil is missing. "
            "Enter it under Materials, or the formula's own measured fill."
        )
    return BatterSize(oils_grams=result.oils_grams, batter_grams=result.batch_grams, batter_ml=volume)


def mold_scale(
    revision: FormulaRevision,
    result: FormulaResult | None,
    mold: Mold,
    *,
    molds: int = 1,
    vessel_loss_fraction: Decimal = Decimal(0),
    stirred_in_fraction: Decimal = Decimal(0),
) -> ScalePlan:
    """Return the batch that fills so many molds up to their headroom."""
    return scale_to_mold_volume(
        batter_size(revision, result),
        mold_of(mold),
        molds=molds,
        headroom_fraction=mold.headroom_percent / HUNDRED,
        vessel_loss_fraction=vessel_loss_fraction,
        stirred_in_fraction=stirred_in_fraction,
        own_fill=own_fill(revision),
    )


def bars_scale(
    revision: FormulaRevision,
    result: FormulaResult | None,
    *,
    bars: int,
    cured_grams: Decimal,
    moisture_percent: Decimal = USUAL_CURED_MOISTURE_PERCENT,
) -> ScalePlan:
    """Return the batch for so many bars of a weight at the moisture they are to be cured to."""
    size = batter_size(revision, result)
    return scale_to_bars(size, BarsWanted(bars, cured_grams, kept_fraction(result, moisture_percent)))


def kept_fraction(result: FormulaResult | None, moisture_percent: Decimal = USUAL_CURED_MOISTURE_PERCENT) -> Decimal:
    """Return what is left of a fresh bar once it has dried to a moisture; a drier bar than that keeps all."""
    if result is None or result.batch_grams is None or result.water_in_batch_grams is None:
        raise MoldError("How much water this formula loses is not known. Mend what is said above first.")
    dry = result.batch_grams - result.water_in_batch_grams
    kept = dry / (1 - moisture_percent / HUNDRED) / result.batch_grams
    return min(max(kept, LEAST_KEPT_FRACTION), Decimal(1))
