"""The cut face of a batch's bar, from its frozen plan: for the screen and for paper."""

from collections.abc import Iterable, Iterator
from decimal import Decimal

from formulas.drawing import DrawnBar, DrawnCell, DrawnPart, DrawnRow, DrawnSwirl
from production.batches.frozen import FrozenPlan, FrozenPortion
from production.documents.records import BarDrawing, DrawingRegion

# A face for drawing only; the true size of the bar comes from its mold.
FACE_WIDTH_MM, FACE_HEIGHT_MM = Decimal(80), Decimal(55)
HALF, TURNS = Decimal("0.5"), 12  # a swirl runs up and down six times across the paper face
DROP_PLACES = tuple(
    (Decimal(x), Decimal(y)) for x, y in (("0.2", "0.3"), ("0.42", "0.7"), ("0.62", "0.25"), ("0.85", "0.6"))
)
DROP_SHIFT = Decimal("0.11")


def drawn_bar(plan: FrozenPlan) -> DrawnBar:
    """Return the picture for the screen. A plan without portions is one plain face."""
    ordered = sum(finish.bars for finish in plan.finishes) or plan.bars
    rows = tuple(
        DrawnRow(
            height=row[0].height_share,
            cells=tuple(
                DrawnCell(portion.letter, portion.color_hex, portion.width_share, portion.name)
                for portion in _lying(row, "cell")
            ),
            swirls=_swirls(row, "swirl"),
        )
        for row in _rows(plan)
    )
    return DrawnBar(
        title=plan.product,
        width_mm=FACE_WIDTH_MM,
        height_mm=FACE_HEIGHT_MM,
        rows=rows or (DrawnRow(Decimal(1), (DrawnCell("A", "#e8dfc8", Decimal(1), "all of it"),)),),
        drops=_swirls(plan.portions, "drop"),
        parts=tuple(
            DrawnPart(
                kind=part.kind,  # type: ignore[arg-type]
                name=part.name,
                color_hex=part.color_hex,
                on_bars="every bar" if part.pieces >= ordered else f"{part.pieces} of {ordered} bars",
            )
            for part in plan.parts
        ),
        is_beveled=plan.is_beveled,
    )


def paper_drawing(plan: FrozenPlan) -> BarDrawing | None:
    """Return the same face as outlines in millimeters for the ticket; None when there are no portions."""
    rows = list(_rows(plan))
    if not rows:
        return None
    total = sum((row[0].height_share for row in rows), Decimal(0))
    regions: list[DrawingRegion] = []
    bottom = FACE_HEIGHT_MM
    for row in rows:
        top = bottom - FACE_HEIGHT_MM * row[0].height_share / total
        regions += _regions(_lying(row, "cell"), top, bottom)
        regions += _ribbons(_lying(row, "swirl"), top, bottom)
        bottom = top
    regions += _dropped(_lying(plan.portions, "drop"))
    layers = "; ".join(", ".join(_named(portion) for portion in row) for row in reversed(rows))
    return BarDrawing(FACE_WIDTH_MM, FACE_HEIGHT_MM, tuple(regions), f"Cut face from the top: {layers}.")


def _regions(row: list[FrozenPortion], top: Decimal, bottom: Decimal) -> Iterator[DrawingRegion]:
    widths = sum((portion.width_share for portion in row), Decimal(0))
    left = Decimal(0)
    for portion in row:
        right = left + FACE_WIDTH_MM * portion.width_share / widths
        yield DrawingRegion(
            letter=portion.letter,
            outline_mm=((left, top), (right, top), (right, bottom), (left, bottom)),
            letter_at_mm=((left + right) / 2, (top + bottom) / 2),
            color_hex=portion.color_hex,
        )
        left = right


def _lying(portions: Iterable[FrozenPortion], place: str) -> list[FrozenPortion]:
    return [portion for portion in portions if portion.lies == place]


def _swirls(portions: Iterable[FrozenPortion], place: str) -> tuple[DrawnSwirl, ...]:
    return tuple(
        DrawnSwirl(portion.letter, portion.color_hex, portion.share_percent, portion.name)
        for portion in _lying(portions, place)
    )


def _named(portion: FrozenPortion) -> str:
    how = {"swirl": "swirled ", "drop": "in drops "}.get(portion.lies, "")
    share = f" {portion.share_percent.normalize():f} %" if how else ""
    return f"{how}{portion.letter} {portion.name}{share}"


def _ribbons(swirls: list[FrozenPortion], top: Decimal, bottom: Decimal) -> Iterator[DrawingRegion]:
    """Yield each swirl as a zigzag ribbon that takes its percent of the layer."""
    band = (bottom - top) / max(len(swirls), 1)
    for number, portion in enumerate(swirls):
        thick = (bottom - top) * portion.share_percent / 100
        swing = max(band - thick, Decimal(0)) / 2
        middle = top + band * (number + HALF)
        line = [
            (FACE_WIDTH_MM * step / TURNS, middle + (swing if step % 2 else -swing) * HALF) for step in range(TURNS + 1)
        ]
        above = [(x, y - thick / 2) for x, y in line]
        below = [(x, y + thick / 2) for x, y in reversed(line)]
        yield DrawingRegion(
            portion.letter, (*above, *below), (FACE_WIDTH_MM * (number + 1) / 8, middle), portion.color_hex
        )


def _dropped(drops: list[FrozenPortion]) -> Iterator[DrawingRegion]:
    """Yield four squares on their tips for each jug of drops; together they take its percent of the face."""
    for number, portion in enumerate(drops):
        half = (FACE_WIDTH_MM * FACE_HEIGHT_MM * portion.share_percent / 100 / len(DROP_PLACES) / 2).sqrt()
        for across, down in DROP_PLACES:
            x = FACE_WIDTH_MM * ((across + number * DROP_SHIFT) % 1)
            y = FACE_HEIGHT_MM * down
            yield DrawingRegion(
                letter=portion.letter,
                outline_mm=((x - half, y), (x, y - half), (x + half, y), (x, y + half)),
                letter_at_mm=(x, y),
                color_hex=portion.color_hex,
            )


def _rows(plan: FrozenPlan) -> Iterator[list[FrozenPortion]]:
    """Yield the layers from the bottom up, each from left to right."""
    positions = sorted({portion.row for portion in plan.portions})
    for position in positions:
        yield sorted((item for item in plan.portions if item.row == position), key=lambda item: item.position)
