"""Legal type heights of a label, as tables with their source. Heights in millimeters, unrounded."""

from decimal import Decimal

# 16 CFR 500.21 and 21 CFR 701.13(i) (first step read, the others from memory): panel area up to, in square inches,
# bound included → height in inches.
US_NET_WEIGHT_INCHES: tuple[tuple[Decimal | None, Decimal], ...] = (
    (Decimal(5), Decimal("0.0625")),
    (Decimal(25), Decimal("0.125")),
    (Decimal(100), Decimal("0.1875")),
    (Decimal(400), Decimal("0.25")),
    (None, Decimal("0.5")),
)
# 21 CFR 701.3(b): 1/16 in; 1/32 in where less than 12 square inches are free for labeling in all.
US_INGREDIENTS_INCHES = Decimal("0.0625")
US_SMALL_INGREDIENTS_INCHES = Decimal("0.03125")
US_SMALL_SURFACE_SQ_IN = Decimal(12)
# Directive 76/211/EEC, Annex I 3.1 (from memory): nominal weight up to, in grams,
# bound included → height of the figures.
EU_FIGURES_MM: tuple[tuple[Decimal | None, Decimal], ...] = (
    (Decimal(50), Decimal(2)),
    (Decimal(200), Decimal(3)),
    (Decimal(1000), Decimal(4)),
    (None, Decimal(6)),
)
MM_PER_INCH = Decimal("25.4")


def _row(table: tuple[tuple[Decimal | None, Decimal], ...], size: Decimal) -> Decimal:
    return next(height for bound, height in table if bound is None or size <= bound)


def us_net_weight_min_mm(*, panel_sq_in: Decimal) -> Decimal:
    """Height for the net weight on a principal display panel of this area."""
    return _row(US_NET_WEIGHT_INCHES, panel_sq_in) * MM_PER_INCH


def us_ingredients_min_mm(*, surface_sq_in: Decimal) -> Decimal:
    """Height for the ingredient list when this much surface is free for labeling in all."""
    is_small = surface_sq_in < US_SMALL_SURFACE_SQ_IN
    return (US_SMALL_INGREDIENTS_INCHES if is_small else US_INGREDIENTS_INCHES) * MM_PER_INCH


def eu_net_weight_min_mm(*, nominal_grams: Decimal) -> Decimal:
    """Height for the figures of the nominal weight, measured on the figures."""
    return _row(EU_FIGURES_MM, nominal_grams)
