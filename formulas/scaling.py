"""From a size to grams: by oils, by batter, by the mold, or by the cured bars that are wanted."""

from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, Decimal

from formulas.fills import BatterSize, FillFactor, sized_by
from formulas.geometry import (
    ML_PER_CUBIC_INCH,
    CavityMold,
    ColumnMold,
    LoafMold,
    Mold,
    MoldError,
    MoldTooSmall,
    SlabMold,
)

GRAMS_PER_OUNCE = Decimal("28.349523125")  # exact by definition, international yard and pound agreement of 1959
USUAL_HEADROOM_FRACTION = Decimal("0.025")  # 2 to 5 % for air and rim: common practice, no source
USUAL_VESSEL_LOSS_FRACTION = Decimal("0.015")  # 1 to 2 % of the batter stays in each vessel: common practice, no source


@dataclass(frozen=True)
class ScalePlan:
    """A formula at its new size. Oils, batter and cured bars are three different weights and are kept apart."""

    factor: Decimal
    oils_grams: Decimal
    batter_grams: Decimal
    batter_ml: Decimal
    molds: int | None = None
    bars: int | None = None
    fill_height_mm: Decimal | None = None
    bar_thickness_mm: Decimal | None = None
    fresh_bar_grams: Decimal | None = None
    cured_bar_grams: Decimal | None = None


@dataclass(frozen=True)
class BarsWanted:
    """So many bars of a cured weight; the ratio says what is left of a fresh bar when it has cured."""

    bars: int
    cured_grams: Decimal
    cured_to_fresh_fraction: Decimal

    def __post_init__(self) -> None:
        if self.bars < 1 or self.cured_grams <= 0:
            raise MoldError("Ask for at least one bar, and a cured weight above 0 grams.")
        if not Decimal("0.5") <= self.cured_to_fresh_fraction <= 1:
            raise MoldError("A cured bar keeps between 50 and 100 percent of its fresh weight. Correct that share.")

    @property
    def fresh_grams(self) -> Decimal:
        return self.cured_grams / self.cured_to_fresh_fraction


def scale_to_factor(size: BatterSize, factor: Decimal) -> ScalePlan:
    if not factor.is_finite() or factor <= 0:
        raise MoldError("A batch is larger than nothing. Give a size above 0.")
    return ScalePlan(factor, size.oils_grams * factor, size.batter_grams * factor, size.batter_ml * factor)


def scale_to_oils(size: BatterSize, oils_grams: Decimal) -> ScalePlan:
    return scale_to_factor(size, oils_grams / size.oils_grams)


def scale_to_batter(size: BatterSize, batter_grams: Decimal) -> ScalePlan:
    return scale_to_factor(size, batter_grams / size.batter_grams)


def scale_to_mold_volume(
    size: BatterSize,
    mold: Mold,
    *,
    molds: int = 1,
    headroom_fraction: Decimal = USUAL_HEADROOM_FRACTION,
    vessel_loss_fraction: Decimal = Decimal(0),
    stirred_in_fraction: Decimal = Decimal(0),
    own_fill: FillFactor | None = None,
) -> ScalePlan:
    """Return the batch that fills the molds up to the headroom.

    The vessel loss is made in addition; liquids stirred into single jugs, as a fraction of the batter, take room from
    it. The formula's own measured fill beats its computed density.
    """
    if molds < 1:
        raise MoldError("A batch fills at least one mold. Correct the number of molds.")
    size = sized_by(size, own_fill)
    in_mold_ml = mold.volume_ml * (1 - _part(headroom_fraction, "headroom"))
    poured_ml = in_mold_ml * molds / (1 + _part(stirred_in_fraction, "liquid stirred in"))
    made_ml = poured_ml / (1 - _part(vessel_loss_fraction, "loss in the vessels"))
    plan = scale_to_factor(size, made_ml / size.batter_ml)
    return replace(
        plan,
        molds=molds,
        bars=mold.gross_bars * molds,
        fill_height_mm=None if isinstance(mold, CavityMold) else mold.fill_height_mm(in_mold_ml),
        bar_thickness_mm=_thickness(mold, in_mold_ml),
        fresh_bar_grams=in_mold_ml / mold.gross_bars * size.density_g_per_ml,
    )


def scale_to_bars(
    size: BatterSize,
    wanted: BarsWanted,
    *,
    ends_fraction: Decimal = Decimal(0),
    vessel_loss_fraction: Decimal = Decimal(0),
) -> ScalePlan:
    """Return the batch for so many bars of a cured weight, whatever the mold; ends are the share not cut into bars."""
    whole = (1 - _part(ends_fraction, "ends")) * (1 - _part(vessel_loss_fraction, "loss in the vessels"))
    plan = scale_to_batter(size, wanted.bars * wanted.fresh_grams / whole)
    return replace(plan, bars=wanted.bars, fresh_bar_grams=wanted.fresh_grams, cured_bar_grams=wanted.cured_grams)


def bars_by_fill(
    size: BatterSize,
    wanted: BarsWanted,
    mold: Mold,
    *,
    end_trim_mm: Decimal = Decimal(0),
    headroom_fraction: Decimal = USUAL_HEADROOM_FRACTION,
) -> ScalePlan:
    """Keep the cut and change the fill height, so that each bar cures to the wanted weight."""
    bar_ml = wanted.fresh_grams / size.density_g_per_ml
    if isinstance(mold, ColumnMold):
        return bars_by_thickness(size, wanted, mold, end_trim_mm=end_trim_mm, headroom_fraction=headroom_fraction)
    if isinstance(mold, LoafMold):
        height_mm = bar_ml * 1000 / (mold.width_mm * mold.bar_thickness_mm)
        per_mold, mold_ml = mold.bars_after_trim(end_trim_mm), mold.base_cm2 * height_mm / 10
    elif isinstance(mold, SlabMold):
        per_mold, mold_ml = mold.bars_after_trim(end_trim_mm), bar_ml * mold.gross_bars
        height_mm = mold_ml * 10 / mold.base_cm2
    else:
        per_mold, mold_ml, height_mm = mold.cavities, bar_ml * mold.cavities, None
    _need_room(mold_ml, mold, headroom_fraction)
    thickness_mm = _thickness(mold, mold_ml)
    return _bars_in_molds(size, wanted, per_mold, mold_ml, height_mm, thickness_mm)


def bars_by_thickness(
    size: BatterSize,
    wanted: BarsWanted,
    mold: LoafMold | ColumnMold,
    *,
    end_trim_mm: Decimal = Decimal(0),
    headroom_fraction: Decimal = USUAL_HEADROOM_FRACTION,
) -> ScalePlan:
    """Keep the mold full and change the thickness of the cut, so that each bar cures to the wanted weight."""
    mold_ml = mold.volume_ml * (1 - _part(headroom_fraction, "headroom"))
    bar_ml = wanted.fresh_grams / size.density_g_per_ml
    thickness_mm = bar_ml / mold_ml * mold.length_mm
    if isinstance(mold, ColumnMold):
        thickness_mm = bar_ml * 1000 / mold.face_mm2
    if thickness_mm > mold.length_mm - 2 * end_trim_mm:
        raise MoldTooSmall(
            f"One bar of {wanted.cured_grams:.0f} g would be {thickness_mm:.0f} mm thick, longer than the mold. "
            "Use a wider mold, or ask for lighter bars."
        )
    per_mold = replace(mold, bar_thickness_mm=thickness_mm).bars_after_trim(end_trim_mm)
    return _bars_in_molds(size, wanted, per_mold, mold_ml, mold.fill_height_mm(mold_ml), thickness_mm)


def oils_oz_per_cubic_inch(oils_g_per_ml: Decimal) -> Decimal:
    """Return the figure makers quote: ounces of oils for each cubic inch of mold."""
    return oils_g_per_ml * ML_PER_CUBIC_INCH / GRAMS_PER_OUNCE


def _bars_in_molds(
    size: BatterSize,
    wanted: BarsWanted,
    per_mold: int,
    mold_ml: Decimal,
    fill_height_mm: Decimal | None,
    thickness_mm: Decimal | None,
) -> ScalePlan:
    if per_mold < 1:
        raise MoldTooSmall("After the ends are trimmed no whole bar is left. Trim less, or use a longer mold.")
    molds = int((Decimal(wanted.bars) / per_mold).to_integral_value(ROUND_CEILING))
    return replace(
        scale_to_factor(size, molds * mold_ml / size.batter_ml),
        molds=molds,
        bars=molds * per_mold,
        fill_height_mm=fill_height_mm,
        bar_thickness_mm=thickness_mm,
        fresh_bar_grams=wanted.fresh_grams,
        cured_bar_grams=wanted.cured_grams,
    )


def _thickness(mold: Mold, in_mold_ml: Decimal) -> Decimal | None:
    if isinstance(mold, SlabMold):
        return mold.fill_height_mm(in_mold_ml) / mold.layers
    return None if isinstance(mold, CavityMold) else mold.bar_thickness_mm


def _need_room(mold_ml: Decimal, mold: Mold, headroom_fraction: Decimal) -> None:
    room_ml = mold.volume_ml * (1 - _part(headroom_fraction, "headroom"))
    if mold_ml > room_ml:
        raise MoldTooSmall(
            f"These bars need {mold_ml:.0f} ml in a mold, and it takes {room_ml:.0f} ml. "
            "Use a taller or wider mold, or ask for lighter bars."
        )


def _part(fraction: Decimal, what: str) -> Decimal:
    if not 0 <= fraction < 1:
        raise MoldError(f"The {what} lies between 0 and 100 percent. Correct it.")
    return fraction
