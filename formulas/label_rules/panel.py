"""The principal display panel: its area, and where the net quantity may stand on it.

Areas in square inches, lengths in inches, as US law has them (16 CFR 500.21, 21 CFR 701.10 and 701.13).
For a band the panel is the face of the bar, not the band.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

from formulas.label_rules.figures import amount
from formulas.label_rules.rows import LabelRuleError, row_for_size, rows_in_force

Shape = Literal["rectangle", "cylinder", "other"]
PI = Decimal("3.14159265358979323846")
CM2_PER_SQ_IN = Decimal("6.4516")  # exact: (2.54 cm)²


@dataclass(frozen=True)
class Panel:
    """Give height and width of a flat face, height and diameter of a cylinder, or the surface of another shape.

    `obvious_sq_in` is the whole of a panel that is plain to see on another shape, such as a flat top.
    """

    shape: Shape
    height_in: Decimal | None = None
    width_in: Decimal | None = None
    diameter_in: Decimal | None = None
    surface_sq_in: Decimal | None = None
    obvious_sq_in: Decimal | None = None


@dataclass(frozen=True)
class QuantityPlace:
    """Where the net quantity stands. None: small panels are free of the bottom rule."""

    bottom_zone_in: Decimal | None
    clear_above_and_below_in: Decimal
    clear_left_and_right_in: Decimal


def panel_area_sq_in(panel: Panel, on_date: date) -> Decimal:
    if panel.shape == "rectangle":
        return _size(panel.height_in, "height") * _size(panel.width_in, "width")
    if panel.shape == "cylinder":
        around = PI * _size(panel.diameter_in, "diameter")
        return amount("us_cylinder_share", on_date) * _size(panel.height_in, "height") * around
    if panel.obvious_sq_in is not None:
        return _size(panel.obvious_sq_in, "area of the panel")
    return amount("us_other_shape_share", on_date) * _size(panel.surface_sq_in, "total surface")


def quantity_place(
    *, area_sq_in: Decimal, panel_height_in: Decimal, letter_height_in: Decimal, n_width_in: Decimal, on_date: date
) -> QuantityPlace:
    """Return the zone at the foot of the panel that holds the quantity, and the space to keep clear around it."""
    row = row_for_size(rows_in_force("type_height_us", on_date), area_sq_in, above="sq_in_above", up_to="sq_in_to")
    zone = amount("us_bottom_share", on_date) * panel_height_in if row["has_bottom_rule"] == "yes" else None
    return QuantityPlace(
        bottom_zone_in=zone,
        clear_above_and_below_in=letter_height_in * amount("us_clear_letter_heights", on_date),
        clear_left_and_right_in=n_width_in * amount("us_clear_n_widths", on_date),
    )


def _size(length: Decimal | None, what: str) -> Decimal:
    if length is None or length <= 0:
        raise LabelRuleError(f"The {what} of the panel is missing or not above zero. Measure it and enter it.")
    return length
