"""What the charts share: a straight scale with round ticks, and figures as people write them."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from math import ceil, floor, log10

from formulas.drawing.inks import INK
from formulas.drawing.markup import Attribute, Picture, element, words

SOFT, EDGE, RULE, SUNK = "#4f585b", "#7b8580", "#d3d7cb", "#ebece2"
ACCENT, DANGER = "#0e5563", "#a01d25"
STROKES: dict[str, tuple[str, float]] = {
    "ink": (INK, 1.5),
    "soft": (EDGE, 1.5),
    "rule": (RULE, 1),
    "accent": (ACCENT, 2.5),
    "danger": (DANGER, 2.5),
}


@dataclass(frozen=True)
class Scale:
    """Maps figures from low to high onto positions from start to end."""

    low: float
    high: float
    start: float
    end: float

    def at(self, figure: Decimal | float) -> float:
        part = (float(figure) - self.low) / (self.high - self.low)
        return self.start + part * (self.end - self.start)

    def ticks(self, most: int) -> tuple[float, ...]:
        """Return round figures inside the scale: steps of 1, 2 or 5 times a power of ten."""
        step = _round_step((self.high - self.low) / most)
        first, last = ceil(self.low / step - 1e-9), floor(self.high / step + 1e-9)
        return tuple(number * step for number in range(first, last + 1))


def percent_text(percent: Decimal) -> str:
    """Return a percent for reading: at most two decimals, a real minus sign."""
    text = str(percent.quantize(Decimal("0.01"), ROUND_HALF_UP))
    return f"{text.rstrip('0').rstrip('.')} %".replace("-", "−")


def one_decimal(figure: Decimal) -> str:
    return str(figure.quantize(Decimal("0.1"), ROUND_HALF_UP)).replace("-", "−")


def tick_text(figure: float) -> str:
    return f"{figure:g}".replace("-", "−")


def small_words(text: str, x: float, y: float, **attributes: Attribute) -> Picture:
    return words(text, x, y, **{"class_": "svg-small", "font_size": 12, "fill": SOFT, **attributes})


def strong_words(text: str, x: float, y: float, **attributes: Attribute) -> Picture:
    return words(text, x, y, **{"class_": "svg-strong", "font_weight": 650, "fill": INK, **attributes})


def line(x1: float, y1: float, x2: float, y2: float, *, kind: str = "ink", dashed: bool = False) -> Picture:
    """Return a straight line of a kind the page knows: ink, soft, rule, accent, danger."""
    stroke, width = STROKES[kind]
    return element(
        "path",
        d=f"M{x1:.2f} {y1:.2f}L{x2:.2f} {y2:.2f}",
        fill="none",
        stroke=stroke,
        stroke_width=width,
        stroke_dasharray="5 4" if dashed else None,
        class_=f"{kind}-line" + (" dashed" if dashed else ""),
    )


def _round_step(rough: float) -> float:
    power = 10.0 ** floor(log10(rough))
    return next(step * power for step in (1, 2, 5, 10) if step * power >= rough * 0.999)
