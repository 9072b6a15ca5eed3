"""The cut face of a batch's bar, from its frozen plan: for the screen and for paper."""

from collections.abc import Iterator
from decimal import Decimal

from formulas.drawing import DrawnBar, DrawnCell, DrawnPart, DrawnRow
from production.batches.frozen import FrozenPlan, FrozenPortion
from production.documents.records import BarDrawing, DrawingRegion

# A face for drawing only; the true size of the bar comes from its mold.
FACE_WIDTH_MM, FACE_HEIGHT_MM = Decimal(80), Decimal(55)


def drawn_bar(plan: FrozenPlan) -> DrawnBar:
    """Return the picture for the screen. A plan without portions is one plain face."""
    ordered = sum(finish.bars for finish in plan.finishes) or plan.bars
    rows = tuple(
        DrawnRow(
            height=row[0].height_share,
            cells=tuple(
                DrawnCell(portion.letter, portion.color_hex, portion.width_share, portion.name) for portion in row
            ),
        )
        for row in _rows(plan)
    )
    return DrawnBar(
        title=plan.product,
        width_mm=FACE_WIDTH_MM,
        height_mm=FACE_HEIGHT_MM,
        rows=rows or (DrawnRow(Decimal(1), (DrawnCell("A", "#e8dfc8", Decimal(1), "all of it"),)),),
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
        regions += _regions(row, top, bottom)
        bottom = top
    layers = "; ".join(", ".join(f"{portion.letter} {portion.name}" for portion in row) for row in reversed(rows))
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


def _rows(plan: FrozenPlan) -> Iterator[list[FrozenPortion]]:
    """Yield the layers from the bottom up, each from left to right."""
    positions = sorted({portion.row for portion in plan.portions})
    for position in positions:
        yield sorted((item for item in plan.portions if item.row == position), key=lambda item: item.position)
