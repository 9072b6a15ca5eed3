"""The cut face of a bar as shapes for a template: grays from the colors' lightness, a lettered disc on each area."""

import re
from decimal import Decimal
from typing import Any

from production.documents.ticket_records import BarDrawing, DrawingRegion

LARGEST_WIDTH_MM = Decimal(68)
LARGEST_HEIGHT_MM = Decimal(18)
DARKEST_GRAY = 96  # of 255: darker areas hide the outline and drink ink
NO_COLOR_GRAY = 255
LETTER_MM = Decimal("2.6")
LINE_MM = Decimal("0.25")
# ITU-R BT.709 weights of red, green and blue in lightness
LIGHTNESS_WEIGHTS = (Decimal("0.2126"), Decimal("0.7152"), Decimal("0.0722"))


def drawing_view(drawing: BarDrawing | None) -> dict[str, Any] | None:
    """Shapes in the drawing's own millimeters, to be scaled to the paper; None when there is nothing to draw."""
    if drawing is None or drawing.width_mm <= 0 or drawing.height_mm <= 0:
        return None
    scale = min(LARGEST_WIDTH_MM / drawing.width_mm, LARGEST_HEIGHT_MM / drawing.height_mm)
    line, type_size = LINE_MM / scale, LETTER_MM / scale
    return {
        "view_box": f"{_n(-line)} {_n(-line)} {_n(drawing.width_mm + 2 * line)} {_n(drawing.height_mm + 2 * line)}",
        "width_mm": _n(drawing.width_mm * scale),
        "height_mm": _n(drawing.height_mm * scale),
        "line": _n(line),
        "type": _n(type_size),
        "disc": _n(type_size * Decimal("0.72")),
        "regions": [_region(region, type_size) for region in drawing.regions],
    }


def _region(region: DrawingRegion, type_size: Decimal) -> dict[str, str]:
    x, y = region.letter_at_mm
    return {
        "letter": region.letter,
        "points": " ".join(f"{_n(px)},{_n(py)}" for px, py in region.outline_mm),
        "gray": gray_of(region.color_hex),
        "x": _n(x),
        "y": _n(y),
        "baseline": _n(y + type_size * Decimal("0.35")),
    }


def gray_of(color_hex: str) -> str:
    """A gray as light as the color, but never too dark to print a line on; white when there is no color."""
    if not re.fullmatch(r"#[0-9a-fA-F]{6}", color_hex):
        return f"rgb({NO_COLOR_GRAY},{NO_COLOR_GRAY},{NO_COLOR_GRAY})"
    channels = (int(color_hex[at : at + 2], 16) for at in (1, 3, 5))
    lightness = sum(weight * channel for weight, channel in zip(LIGHTNESS_WEIGHTS, channels, strict=True))
    gray = DARKEST_GRAY + int(lightness * (255 - DARKEST_GRAY) / 255)
    return f"rgb({gray},{gray},{gray})"


def _n(length: Decimal) -> str:
    return f"{length:.3f}"
