"""One pattern for each portion, so that a picture printed in black and white still tells its portions apart."""

from formulas.drawing.inks import pattern_ink
from formulas.drawing.markup import Picture, element

# Each pattern: size of its tile and the marks on it, on a tile of 8 units; "line" marks are stroked, "dot" are filled.
PLAIN = "plain"
PATTERNS: tuple[tuple[str, tuple[str, ...], str], ...] = (
    (PLAIN, (), ""),
    ("rising", ("M-2 2L2 -2M0 8L8 0M6 10L10 6",), "line"),
    ("dots", ("M2 2h.01M6 6h.01",), "dot"),
    ("level", ("M0 2H8M0 6H8",), "line"),
    ("falling", ("M-2 6L2 10M0 0L8 8M6 -2L10 2",), "line"),
    ("upright", ("M2 0V8M6 0V8",), "line"),
    ("waves", ("M0 4q2 -3.200 4 0t4 0",), "line"),
    ("crossed", ("M0 0L8 8M0 8L8 0",), "line"),
    ("bricks", ("M0 4H8M0 8H8M0 0H8M4 0V4M0 4V8",), "line"),
    ("rings", ("M4 1.800a2.200 2.200 0 1 0 .01 0",), "line"),
    ("peaks", ("M0 6L4 2L8 6",), "line"),
    ("dashes", ("M1 2H4M5 6H8",), "line"),
)


def pattern_names(letters: tuple[str, ...]) -> dict[str, str]:
    """Return the pattern of each letter, in order of appearance; after the last pattern they begin again."""
    return {letter: PATTERNS[place % len(PATTERNS)][0] for place, letter in enumerate(dict.fromkeys(letters))}


def pattern_tile(name: str, *, tile_id: str, color_hex: str, scale: float) -> Picture:
    """Return the tile to lay over a portion's color: its pattern in a lighter or darker ink, with no ground.

    Without a ground, the edges of the tiles cannot show as a grid on paper.
    """
    marks, kind = next((marks, kind) for known, marks, kind in PATTERNS if known == name)
    ink = pattern_ink(color_hex)
    return element(
        "pattern",
        *(
            element(
                "path",
                d=mark,
                fill="none",
                stroke=ink,
                stroke_width=2.2 if kind == "dot" else 1,
                stroke_linecap="round" if kind == "dot" else "butt",
            )
            for mark in marks
        ),
        id=tile_id,
        width=8,
        height=8,
        patternUnits="userSpaceOnUse",
        patternTransform=f"scale({scale:g})",
    )
