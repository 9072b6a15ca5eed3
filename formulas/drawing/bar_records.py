"""What the picture of a bar is drawn from, and the picture in words."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal


@dataclass(frozen=True)
class DrawnCell:
    letter: str
    color_hex: str
    width: Decimal = Decimal(1)
    name: str = ""


@dataclass(frozen=True)
class DrawnSwirl:
    """A swirl in a layer (percent of the layer) or drops over the bar (percent of the bar)."""

    letter: str
    color_hex: str
    percent: Decimal
    name: str = ""


@dataclass(frozen=True)
class DrawnRow:
    height: Decimal
    cells: tuple[DrawnCell, ...]
    swirls: tuple[DrawnSwirl, ...] = ()


@dataclass(frozen=True)
class DrawnPart:
    """A topper, seal, embed or stamp; `on_bars` is "every bar" or such as "5 of 12 bars"."""

    kind: Literal["topper", "seal", "embed", "dough", "stamp"]
    name: str
    color_hex: str
    on_bars: str = "every bar"

    @property
    def is_on_every_bar(self) -> bool:
        return self.on_bars == "every bar"


@dataclass(frozen=True)
class DrawnBar:
    """The cut face of a bar; the first row lies at the bottom."""

    title: str
    width_mm: Decimal
    height_mm: Decimal
    rows: tuple[DrawnRow, ...]
    drops: tuple[DrawnSwirl, ...] = ()
    parts: tuple[DrawnPart, ...] = ()
    is_beveled: bool = False
    is_round: bool = False

    @property
    def look(self) -> tuple[object, ...]:
        """What a person would call the drawing: not the mold it was fitted to, nor how many bars carry a part."""
        return self.rows, self.drops, self.is_beveled


@dataclass(frozen=True)
class LegendLine:
    letter: str
    color_hex: str
    name: str


def legend_lines(bar: DrawnBar) -> tuple[LegendLine, ...]:
    """Return each jug once, from the bottom up and from left to right."""
    lines: dict[str, LegendLine] = {}
    for row in bar.rows:
        places: tuple[DrawnCell | DrawnSwirl, ...] = (*row.cells, *row.swirls)
        for place in places:
            lines.setdefault(place.letter, LegendLine(place.letter, place.color_hex, place.name))
    for drop in bar.drops:
        lines.setdefault(drop.letter, LegendLine(drop.letter, drop.color_hex, drop.name))
    return tuple(lines.values())


def bar_in_words(bar: DrawnBar) -> str:
    """Return the picture as sentences, for a person who cannot see it."""
    total = sum((row.height for row in bar.rows), Decimal(0))
    layers = [f"{_layer(place, row, bar.rows, total)}: {_contents(row)}." for place, row in enumerate(bar.rows)]
    drops = [f"Drops of {_called(drop.letter, drop.name)}, {drop.percent:.0f} percent." for drop in bar.drops]
    parts = [f"{part.kind.capitalize()} {part.name} on {part.on_bars}." for part in bar.parts]
    return " ".join(("Cut face from the bottom up.", *layers, *drops, *parts))


def _layer(place: int, row: DrawnRow, rows: tuple[DrawnRow, ...], total: Decimal) -> str:
    percent = 100 * row.height / total if total else Decimal(0)
    return f"Layer {place + 1} of {len(rows)}, {percent:.0f} percent of the height"


def _contents(row: DrawnRow) -> str:
    cells = ", ".join(_called(cell.letter, cell.name) for cell in row.cells)
    if len(row.cells) > 1:
        cells = f"from the left {cells}"
    swirls = "".join(f", swirled with {_called(s.letter, s.name)} {s.percent:.0f} percent" for s in row.swirls)
    return cells + swirls


def _called(letter: str, name: str) -> str:
    return f"{letter} {name}".strip()
