"""Swatches: a color, a pattern and a letter, so that colors are told apart on a phone, on paper, and by everyone."""

import re

from django.utils.html import format_html
from django.utils.safestring import SafeString

# Lines over a field of 24 by 24, drawn for this book.
PATTERNS: dict[str, str] = {
    "plain": "",
    "slant": "M-2 8 8-2M-2 20 20-2M4 26 26 4M16 26 26 16",
    "level": "M0 4h24M0 10h24M0 16h24M0 22h24",
    "upright": "M4 0v24M10 0v24M16 0v24M22 0v24",
    "grid": "M0 4h24M0 12h24M0 20h24M4 0v24M12 0v24M20 0v24",
    "waves": "M0 5q3-4 6 0t6 0 6 0 6 0M0 12q3-4 6 0t6 0 6 0 6 0M0 19q3-4 6 0t6 0 6 0 6 0",
    "dots": "M3 3h.1M12 3h.1M21 3h.1M3 12h.1M21 12h.1M3 21h.1M12 21h.1M21 21h.1",
    "backslant": "M-2 16 8 26M-2 4 20 26M4-2 26 20M16-2 26 8",
}
_HEX_COLOR = re.compile(r"#[0-9a-fA-F]{6}")
UNKNOWN_COLOR = "#ffffff"


def _line_classes(color: str, pattern: str) -> str:
    red, green, blue = (int(color[at : at + 2], 16) for at in (1, 3, 5))
    # Weights of the eye for red, green and blue in thousandths (ITU-R BT.709).
    is_dark = red * 213 + green * 715 + blue * 72 < 110_000
    return "swatch-pattern" + (" on-dark" if is_dark else "") + (" dotted" if pattern == "dots" else "")


def swatch_svg(*, letter: str, color: str = "", pattern: str = "plain", name: str = "") -> SafeString:
    """Return the drawing; a color that is not written #rrggbb leaves the field white."""
    fill = color if _HEX_COLOR.fullmatch(color) else UNKNOWN_COLOR
    lines = format_html('<path class="{}" d="{}"/>', _line_classes(fill, pattern), PATTERNS[pattern])
    spoken = format_html('role="img" aria-label="{}"', f"{letter}, {name}" if name else letter)
    return format_html(
        '<svg class="swatch" viewBox="0 0 24 24" {}><rect width="24" height="24" fill="{}"/>{}'
        '<circle class="swatch-plate" cx="12" cy="12" r="6.25"/><text class="swatch-letter" x="12" y="15.6">{}</text>'
        '<rect class="swatch-edge" x=".75" y=".75" width="22.5" height="22.5"/></svg>',
        spoken,
        fill,
        lines,
        letter[:2],
    )
