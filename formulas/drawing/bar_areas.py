"""The areas of a cut face, true to their shares, and a free place for the letter of each."""

from collections.abc import Callable
from dataclasses import dataclass, field
from math import pi, sin

from formulas.drawing.bar_parts import Spot, part_spots
from formulas.drawing.bar_records import DrawnBar, DrawnCell, DrawnRow, DrawnSwirl
from formulas.drawing.inks import INK, hex_or_plain
from formulas.drawing.markup import Picture, element

# Where across a layer a letter may stand, best first.
LETTER_PLACES = (0.5, 0.3, 0.7, 0.15, 0.85, 0.4, 0.6, 0.23, 0.77, 0.08, 0.92)


@dataclass(frozen=True)
class Face:
    """The bar on the page: where it lies, how large letters and patterns are, and what its tiles are called."""

    x: float
    y: float
    width: float
    height: float
    letter_size: float
    key: str
    is_small: bool

    def tile(self, letter: str) -> str:
        return f"url(#{self.tile_id(letter)})"

    def tile_id(self, letter: str) -> str:
        return f"{self.key}-{'-'.join(str(ord(sign)) for sign in letter)}"


@dataclass(frozen=True)
class Mark:
    """A letter to write over the finished drawing."""

    letter: str
    color_hex: str
    x: float
    y: float
    room: float


@dataclass
class Canvas:
    """What is drawn so far: areas, letters still to be written, and the spots that are taken."""

    face: Face
    taken: list[Spot]
    shapes: list[Picture] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)

    def fill(self, place: DrawnCell | DrawnSwirl, tag: str, **outline: str | float) -> None:
        """Fill an area with its color, then lay its pattern over it."""
        self.shapes.append(element(tag, **outline, fill=hex_or_plain(place.color_hex)))
        self.shapes.append(element(tag, **outline, fill=self.face.tile(place.letter)))

    def write(self, place: DrawnCell | DrawnSwirl, x: float, y: float, room: float) -> None:
        edge = self.face.letter_size * 0.8
        y = min(max(y, self.face.y + edge), self.face.y + self.face.height - edge)
        self.marks.append(Mark(place.letter, place.color_hex, x, y, room))
        self.taken.append((x, y, edge))

    def is_free(self, x: float, y: float, radius: float) -> bool:
        return all((x - at_x) ** 2 + (y - at_y) ** 2 > (radius + room) ** 2 for at_x, at_y, room in self.taken)

    def free_x(self, y_at: Callable[[float], float], *, x: float, width: float) -> float:
        """Return the best place along a line that touches nothing, or its middle."""
        radius = self.face.letter_size * 0.8
        tries = [x + width * part for part in LETTER_PLACES]
        return next((at for at in tries if self.is_free(at, y_at(at), radius)), tries[0])


def bar_areas(bar: DrawnBar, face: Face) -> tuple[list[Picture], list[Mark]]:
    """Return the areas from the bottom up, and the letters to write over them."""
    canvas = Canvas(face, part_spots(bar, face.x, face.y, face.width, face.height))
    total = float(sum(row.height for row in bar.rows)) or 1.0
    bottom = face.y + face.height
    for row in bar.rows:
        height = float(row.height) / total * face.height
        _row(canvas, row, bottom - height, height)
        bottom -= height
    for drop in bar.drops:
        _drops(canvas, drop)
    return canvas.shapes, canvas.marks


def _row(canvas: Canvas, row: DrawnRow, top: float, height: float) -> None:
    face = canvas.face
    widths = float(sum(cell.width for cell in row.cells)) or 1.0
    x = face.x
    for cell in row.cells:
        width = float(cell.width) / widths * face.width
        canvas.fill(cell, "path", d=_wavy_box(face, x, top, width, height))
        if x > face.x:
            canvas.shapes.append(_divider(x, top, height))
        x += width
    for number, swirl in enumerate(row.swirls):
        _swirl(canvas, swirl, number, len(row.swirls), top, height)
    x, middle = face.x, top + height / 2
    for cell in row.cells:
        width = float(cell.width) / widths * face.width
        at = canvas.free_x(lambda _: middle, x=x, width=width) if len(row.cells) == 1 else x + width / 2
        canvas.write(cell, at, middle, min(width, height))
        x += width


def _wave(face: Face, x: float) -> float:
    """Return how far a poured layer's edge lies off its line; whole waves across the bar leave the areas true."""
    return face.width * 0.006 * sin(4 * pi * (x - face.x) / face.width)


def _wavy_box(face: Face, x: float, top: float, width: float, height: float) -> str:
    fine = 8 if face.is_small else 16
    steps = [x + width * step / fine for step in range(fine + 1)]
    above = " ".join(f"{at:.2f} {top + _top_wave(face, at, top):.2f}" for at in steps)
    below = " ".join(f"{at:.2f} {top + height + _bottom_wave(face, at, top + height):.2f}" for at in reversed(steps))
    return f"M{above} {below}Z"


def _top_wave(face: Face, x: float, y: float) -> float:
    return 0.0 if y <= face.y + 0.01 else _wave(face, x)


def _bottom_wave(face: Face, x: float, y: float) -> float:
    return 0.0 if y >= face.y + face.height - 0.01 else _wave(face, x)


def _divider(x: float, top: float, height: float) -> Picture:
    return element("path", d=f"M{x:.2f} {top:.2f}v{height:.2f}", stroke=INK, stroke_width=0.6, stroke_opacity=0.55)


def _swirl(canvas: Canvas, swirl: DrawnSwirl, number: int, count: int, top: float, height: float) -> None:
    """Draw a ribbon as thick as its percent of the layer, so that its area is its share."""
    face = canvas.face
    thick = height * float(swirl.percent) / 100
    band = height / count
    middle = top + band * (number + 0.5)
    swing = max(band - thick, 0) * 0.4
    turns, fine = (2, 32) if face.is_small else (3, 96)

    def line(x: float) -> float:
        return middle + swing * sin(2 * pi * turns * (x - face.x) / face.width + number * 1.7)

    steps = [face.x + face.width * step / fine for step in range(fine + 1)]
    above = " ".join(f"{x:.2f} {line(x) - thick / 2:.2f}" for x in steps)
    below = " ".join(f"{x:.2f} {line(x) + thick / 2:.2f}" for x in reversed(steps))
    canvas.fill(swirl, "path", d=f"M{above} {below}Z")
    at = canvas.free_x(line, x=face.x, width=face.width)
    canvas.write(swirl, at, line(at), thick)


def _drops(canvas: Canvas, drop: DrawnSwirl) -> None:
    """Scatter round drops whose areas add up to their percent of the bar; places follow a fixed even sequence."""
    face = canvas.face
    sizes = (1.5, 0.7, 1.0, 0.8, 1.3, 0.9, 0.6, 1.1, 0.8)
    area = face.width * face.height * float(drop.percent) / 100
    unit = (area / (pi * sum(size**2 for size in sizes))) ** 0.5
    for number, size in enumerate(sizes):
        radius = unit * size
        x, y = _free_place(canvas, radius)
        canvas.taken.append((x, y, radius))
        canvas.fill(drop, "circle", cx=x, cy=y, r=radius)
        if number == 0:
            canvas.write(drop, x, y, 2 * radius)


def _free_place(canvas: Canvas, radius: float) -> tuple[float, float]:
    """Return the first place of an even sequence that touches nothing, or the last one tried."""
    face = canvas.face
    x = y = 0.0
    for turn in range(60):
        x = face.x + radius + (face.width - 2 * radius) * ((0.21 + turn * 0.7548776662) % 1)
        y = face.y + radius + (face.height - 2 * radius) * ((0.37 + turn * 0.5698402910) % 1)
        if canvas.is_free(x, y, radius):
            break
    return x, y
