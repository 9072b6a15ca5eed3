"""How much of a formula a mold takes: by its computed density, or by what past batches really filled."""

from dataclasses import dataclass, replace
from decimal import Decimal

from formulas.geometry import CavityMold, Mold, MoldError, MoldTooSmall

# Soap batter weighs 1.00 to 1.02 g a ml (computed for lye of 28 to 40 %); beyond these a length or a weight is a slip.
LEAST_G_PER_ML, MOST_G_PER_ML = Decimal("0.85"), Decimal("1.2")


@dataclass(frozen=True)
class BatterSize:
    """What a formula makes at the size it is written in."""

    oils_grams: Decimal
    batter_grams: Decimal
    batter_ml: Decimal

    def __post_init__(self) -> None:
        if not 0 < self.oils_grams <= self.batter_grams or self.batter_ml <= 0:
            raise MoldError("This formula makes no batter yet. Add its oils, lye and liquid first.")

    @property
    def density_g_per_ml(self) -> Decimal:
        return self.batter_grams / self.batter_ml

    @property
    def oils_g_per_ml(self) -> Decimal:
        return self.oils_grams / self.batter_ml


@dataclass(frozen=True)
class FillSeen:
    """One past batch: its oils and the volume it really filled."""

    oils_grams: Decimal
    filled_ml: Decimal


@dataclass(frozen=True)
class FillFactor:
    """The formula's own oils per ml of mold, and how many batches stand behind it; 0 when a person typed it."""

    oils_g_per_ml: Decimal
    batches: int


def own_fill_factor(fills: tuple[FillSeen, ...]) -> FillFactor:
    """Return the measured oils per ml over all past fills of this formula."""
    if not fills or any(fill.oils_grams <= 0 or fill.filled_ml <= 0 for fill in fills):
        raise MoldError("No measured fill yet. After the pour, enter the oils and the volume they filled.")
    oils_grams = sum((fill.oils_grams for fill in fills), Decimal(0))
    return FillFactor(oils_grams / sum((fill.filled_ml for fill in fills), Decimal(0)), len(fills))


def sized_by(size: BatterSize, own_fill: FillFactor | None) -> BatterSize:
    """Return the size with its volume by the formula's own fill, when one was measured."""
    return replace(size, batter_ml=size.oils_grams / own_fill.oils_g_per_ml) if own_fill else size


def filled_ml(mold: Mold, height_mm: Decimal, *, molds: int = 1) -> Decimal:
    """Return the volume of batter that stands so high in each mold."""
    if isinstance(mold, CavityMold):
        raise MoldError("A cavity has no height to measure. Leave that box empty.")
    tall_mm = mold.fill_height_mm(mold.volume_ml)
    if not 0 < height_mm <= tall_mm:
        raise MoldTooSmall(
            f"The batter cannot stand {height_mm.normalize():f} mm high in a mold of {tall_mm.normalize():f} mm. "
            "Measure from the bottom to the top of the batter."
        )
    return mold.volume_ml * height_mm / tall_mm * molds


def seen_fill(*, oils_grams: Decimal, batter_grams: Decimal, volume_ml: Decimal) -> FillSeen:
    """Return what a pour showed. Raises MoldError when that batter could not weigh so much for its volume."""
    density = batter_grams / volume_ml
    if not LEAST_G_PER_ML <= density <= MOST_G_PER_ML:
        raise MoldError(
            f"That would be {density:.2f} g of batter a ml; soap batter weighs about 1. "
            "Check the height and the weight in the molds."
        )
    return FillSeen(oils_grams, volume_ml)
