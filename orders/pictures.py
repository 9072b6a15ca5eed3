"""The bar of an order line as a small picture, for any page or list that names it."""

from collections.abc import Collection, Iterable
from dataclasses import replace

from formulas.drawing import Picture, bar_cross_section_svg
from orders.models import OrderLine
from orders.records import line_drawing, read_for_drawing


def line_pictures(lines: Iterable[OrderLine]) -> dict[int, Picture]:
    """Return the picture of each line, by line; a fixed number of queries, none where the drawing is agreed."""
    drawn = list(lines)
    read_for_drawing(drawn)
    return {line.pk: bar_cross_section_svg(line_drawing(line), key=f"line-{line.pk}", is_small=True) for line in drawn}


def finish_picture(line: OrderLine, *, key: str, parts: Collection[str]) -> Picture:
    """Return the bars of a line that carry these parts, by name, and no others. Read the line for drawing first."""
    bar = line_drawing(line)
    carried = tuple(replace(part, on_bars="every bar") for part in bar.parts if part.name in parts)
    return bar_cross_section_svg(replace(bar, parts=carried), key=key, is_small=True)
