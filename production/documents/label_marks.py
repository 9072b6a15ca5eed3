"""What is printed around the words of labels: one color along the edge, and marks to cut by. Lengths in millimeters."""

from dataclasses import dataclass
from decimal import Decimal

from production.documents.label_records import LabelShape, LabelSheetPaper, LabelStock

ZERO = Decimal()
HAIRLINE = Decimal("0.15")
LONGEST_MARK = Decimal(4)
CLEAR_OF_THE_LABEL = Decimal(1)
# The strip of color keeps inside the margin that no word enters.
STRIP_SHARE = Decimal("0.7")
STRIP_MOST = Decimal("1.6")


@dataclass(frozen=True, slots=True)
class Mark:
    left: Decimal
    top: Decimal
    width: Decimal
    height: Decimal


def cut_marks(stock: LabelStock) -> tuple[Mark, ...]:
    """Return short lines in the margins of the page, one at each edge of a row or a column."""
    right = stock.left_mm + (stock.columns - 1) * stock.pitch_x_mm + stock.label_width_mm
    bottom = stock.top_mm + (stock.rows - 1) * stock.pitch_y_mm + stock.label_height_mm
    across = _edges(stock.left_mm, stock.pitch_x_mm, stock.label_width_mm, stock.columns)
    down = _edges(stock.top_mm, stock.pitch_y_mm, stock.label_height_mm, stock.rows)
    marks = []
    for start, length in (_before(stock.top_mm, stock.bleed_mm), _after(bottom, stock.page_height_mm, stock.bleed_mm)):
        marks += [Mark(x - HAIRLINE / 2, start, HAIRLINE, length) for x in across if length > 0]
    for start, length in (_before(stock.left_mm, stock.bleed_mm), _after(right, stock.page_width_mm, stock.bleed_mm)):
        marks += [Mark(start, y - HAIRLINE / 2, length, HAIRLINE) for y in down if length > 0]
    return tuple(marks)


def cut_rules(marks: tuple[Mark, ...]) -> str:
    return "\n".join(
        f".cut-{number} {{ left: {mark.left:f}mm; top: {mark.top:f}mm; "
        f"width: {mark.width:f}mm; height: {mark.height:f}mm }}"
        for number, mark in enumerate(marks)
    )


def accent_strip_mm(stock: LabelStock) -> Decimal:
    """How far the color reaches into the label."""
    return min(stock.safe_margin_mm * STRIP_SHARE, STRIP_MOST)


def accent_rules(paper: LabelSheetPaper, position: int, left: Decimal, top: Decimal) -> str:
    """A ring on round labels, else a strip along the top; the color runs on into the bleed, never under the words."""
    stock, bleed = paper.stock, paper.stock.bleed_mm
    strip = accent_strip_mm(stock)
    place = f"left: {left - bleed:.5f}mm; top: {top - bleed:.5f}mm; width: {stock.label_width_mm + 2 * bleed:f}mm"
    if stock.shape == LabelShape.ROUND:
        ring = f"height: {stock.label_height_mm + 2 * bleed:f}mm; border-radius: 50%"
        return f".tint-{position} {{ {place}; {ring}; border: {strip + bleed:f}mm solid {paper.accent_hex} }}"
    return f".tint-{position} {{ {place}; height: {strip + bleed:f}mm; background: {paper.accent_hex} }}"


def _edges(first: Decimal, pitch: Decimal, size: Decimal, count: int) -> tuple[Decimal, ...]:
    edges = {first + number * pitch + end for number in range(count) for end in (ZERO, size)}
    return tuple(sorted(edges))


def _before(edge: Decimal, bleed: Decimal) -> tuple[Decimal, Decimal]:
    end = edge - max(CLEAR_OF_THE_LABEL, bleed)
    length = min(LONGEST_MARK, end)
    return end - length, length


def _after(edge: Decimal, page_end: Decimal, bleed: Decimal) -> tuple[Decimal, Decimal]:
    start = edge + max(CLEAR_OF_THE_LABEL, bleed)
    return start, min(LONGEST_MARK, page_end - start)
