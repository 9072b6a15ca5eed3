"""Fatty acids of a formula as lying bars with their figures."""

from decimal import Decimal

from formulas.drawing.chart import ACCENT, line, one_decimal, percent_text
from formulas.drawing.markup import Picture, element, picture, shortened, words

WIDTH, ROW, NAMES, FIGURES, TOP = 640.0, 28.0, 200.0, 70.0, 6.0
LONGEST_NAME = 26


def fatty_acids_svg(profile: tuple[tuple[str, Decimal], ...]) -> Picture:
    """Return one bar for each acid in the order given; percents of the fatty acids."""
    most = max((float(percent) for _, percent in profile), default=1.0) or 1.0
    room = WIDTH - NAMES - FIGURES
    rows = [
        _row(name, percent, float(percent) / most * room, TOP + place * ROW)
        for place, (name, percent) in enumerate(profile)
    ]
    foot = TOP + len(profile) * ROW
    return picture(
        *rows,
        line(NAMES, TOP, NAMES, foot, kind="ink"),
        width=WIDTH,
        height=foot + TOP,
        title="Fatty acids",
        description=", ".join(f"{name} {percent_text(percent)}" for name, percent in profile) or "Not known.",
    )


def _row(name: str, percent: Decimal, length: float, top: float) -> Picture:
    return element(
        "g",
        words(shortened(name, LONGEST_NAME), NAMES - 10, top + 19, text_anchor="end"),
        element(
            "rect", x=NAMES, y=top + 5, width=max(length, 0.75), height=ROW - 10, fill=ACCENT, class_="accent-fill"
        ),
        words(
            f"{one_decimal(percent)} %",
            NAMES + length + 8,
            top + 19,
            class_="svg-text svg-strong",
            font_weight=650,
        ),
    )
