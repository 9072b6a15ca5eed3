"""The legend beside a bar: each jug with its pattern and letter, each part with its color."""

from formulas.drawing.bar_areas import Face
from formulas.drawing.bar_records import DrawnBar, DrawnPart, LegendLine, legend_lines
from formulas.drawing.inks import INK, hex_or_plain
from formulas.drawing.markup import Picture, element, shortened, words

LEGEND_WIDTH, LEGEND_LINE = 210.0, 24.0
LONGEST_NAME = 24


def legend(bar: DrawnBar, face: Face) -> tuple[Picture, ...]:
    jugs = legend_lines(bar)
    return (
        *(_legend_jug(jug, place, face) for place, jug in enumerate(jugs)),
        *(_legend_part(part, place, face) for place, part in enumerate(bar.parts, start=len(jugs))),
    )


def legend_height(bar: DrawnBar) -> float:
    return (len(legend_lines(bar)) + len(bar.parts)) * LEGEND_LINE


def _legend_jug(jug: LegendLine, place: int, face: Face) -> Picture:
    x, y = face.x * 2 + face.width + 16, face.x + place * LEGEND_LINE
    return element(
        "g",
        element("rect", x=x, y=y, width=26, height=18, fill=hex_or_plain(jug.color_hex)),
        element("rect", x=x, y=y, width=26, height=18, fill=face.tile(jug.letter), stroke=INK, stroke_width=1),
        words(jug.letter, x + 36, y + 14, class_="svg-text svg-strong", font_weight=650),
        words(shortened(jug.name, LONGEST_NAME), x + 36 + 12 * max(len(jug.letter), 1) + 4, y + 14),
    )


def _legend_part(part: DrawnPart, place: int, face: Face) -> Picture:
    x, y = face.x * 2 + face.width + 16, face.x + place * LEGEND_LINE
    dashes = None if part.is_on_every_bar else "4 3"
    color = hex_or_plain(part.color_hex)
    return element(
        "g",
        element("circle", cx=x + 13, cy=y + 9, r=8, fill=color, stroke=INK, stroke_width=1, stroke_dasharray=dashes),
        words(shortened(f"{part.name}, {part.on_bars}", LONGEST_NAME), x + 36, y + 14),
    )
