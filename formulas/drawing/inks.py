"""Colors of a drawing: reading them, mixing them, and the letter color that stands out best."""

import re
from itertools import pairwise

INK, PAPER = "#1b2226", "#fdfdf9"
NO_COLOR = "#e8dfc8"  # plain batter
HEX_COLOR = re.compile(r"#[0-9a-fA-F]{6}")


def hex_or_plain(color_hex: str) -> str:
    """Return the color, or the color of plain batter when nothing readable was given."""
    return color_hex.lower() if HEX_COLOR.fullmatch(color_hex) else NO_COLOR


def luminance(color_hex: str) -> float:
    """Return the relative luminance, 0 to 1 (W3C, Web Content Accessibility Guidelines 2.2)."""
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in _parts(color_hex)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(first_hex: str, second_hex: str) -> float:
    """Return the contrast ratio, 1 to 21 (W3C, Web Content Accessibility Guidelines 2.2)."""
    dark, light = sorted((luminance(first_hex), luminance(second_hex)))
    return (light + 0.05) / (dark + 0.05)


def letter_ink(color_hex: str) -> str:
    """Return black or white, whichever stands out more; one of the two always reaches 4.5 to 1."""
    return max(("#000000", "#ffffff"), key=lambda ink: contrast(ink, color_hex))


def mixed(color_hex: str, other_hex: str, part: float) -> str:
    """Return the color with so much of the other in it, 0 to 1."""
    pairs = zip(_parts(color_hex), _parts(other_hex), strict=True)
    return "#" + "".join(f"{round((own * (1 - part) + other * part) * 255):02x}" for own, other in pairs)


def pattern_ink(color_hex: str) -> str:
    """Return the ink of a portion's pattern: strong enough to print in gray, soft enough to let the color speak."""
    other = letter_ink(color_hex)
    steps = (mixed(color_hex, other, part / 20) for part in range(5, 21))
    return next((ink for ink in steps if contrast(ink, color_hex) >= 2), other)


def _parts(color_hex: str) -> tuple[float, ...]:
    edges = pairwise((1, 3, 5, 7))
    return tuple(int(color_hex[start:end], 16) / 255 for start, end in edges)
