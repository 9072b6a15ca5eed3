"""A test sheet for one printer and one stock: the labels in outline, and a cross with rulers at the first and last."""

from dataclasses import dataclass
from decimal import Decimal

from django.template.loader import render_to_string

from production.documents.label_records import LabelStock
from soapshop.paper import render_pdf
from soapshop.paper_words import plain_words

REACH_MM = 10  # the rulers run so far to both sides
LONG_MM, MIDDLE_MM, SHORT_MM = Decimal(4), Decimal("2.5"), Decimal("1.5")
LINE_MM = Decimal("0.15")
LABELED = (-10, -5, 5, 10)


@dataclass(frozen=True, slots=True)
class PrinterSheetPaper:
    stock: LabelStock
    printer: str
    language: str = "en"


@dataclass(frozen=True, slots=True)
class _Stroke:
    left: Decimal
    top: Decimal
    width: Decimal
    height: Decimal
    words: str = ""
    is_beside: bool = False  # the figure stands to the right of its tick, not below it


def printer_sheet_pdf(paper: PrinterSheetPaper) -> bytes:
    """Return one page at true size, printed without any correction."""
    paper = plain_words(paper, longest=200)
    stock = paper.stock
    strokes = [*_labels(stock), *_rulers(*_first(stock)), *_rulers(*_last(stock))]
    html = render_to_string("production/papers/printer_sheet.html", {"paper": paper, "strokes": strokes})
    return render_pdf(html, stylesheets=("\n".join(_rules(stock, strokes)),))


def _first(stock: LabelStock) -> tuple[Decimal, Decimal]:
    return stock.left_mm, stock.top_mm


def _last(stock: LabelStock) -> tuple[Decimal, Decimal]:
    right = stock.left_mm + (stock.columns - 1) * stock.pitch_x_mm + stock.label_width_mm
    return right, stock.top_mm + (stock.rows - 1) * stock.pitch_y_mm + stock.label_height_mm


def _labels(stock: LabelStock) -> list[_Stroke]:
    found = []
    for row in range(stock.rows):
        for column in range(stock.columns):
            left, top = stock.left_mm + column * stock.pitch_x_mm, stock.top_mm + row * stock.pitch_y_mm
            right, bottom = left + stock.label_width_mm - LINE_MM, top + stock.label_height_mm - LINE_MM
            found += [_Stroke(left, y, stock.label_width_mm, LINE_MM) for y in (top, bottom)]
            found += [_Stroke(x, top, LINE_MM, stock.label_height_mm) for x in (left, right)]
    return found


def _rulers(x: Decimal, y: Decimal) -> list[_Stroke]:
    """A cross at this place, with a tick at each half millimeter to both sides."""
    half = LINE_MM / 2
    found = [
        _Stroke(x - REACH_MM, y - half, Decimal(2 * REACH_MM), LINE_MM),
        _Stroke(x - half, y - REACH_MM, LINE_MM, Decimal(2 * REACH_MM)),
    ]
    for halves in range(-2 * REACH_MM, 2 * REACH_MM + 1):
        at = Decimal(halves) / 2
        length = LONG_MM if halves % 10 == 0 else MIDDLE_MM if halves % 2 == 0 else SHORT_MM
        whole = int(at)
        words = f"{whole:+d}" if halves % 2 == 0 and whole in LABELED else ""
        found.append(_Stroke(x + at - half, y - length / 2, LINE_MM, length, words))
        found.append(_Stroke(x - length / 2, y + at - half, length, LINE_MM, words, is_beside=True))
    return found


def _rules(stock: LabelStock, strokes: list[_Stroke]) -> list[str]:
    size = f"{stock.page_width_mm:f}mm {stock.page_height_mm:f}mm"
    high = stock.page_height_mm - Decimal("0.01")
    words_top, words_left = stock.page_height_mm * Decimal("0.36"), stock.page_width_mm * Decimal("0.2")
    rules = [
        f"@page {{ size: {size}; margin: 0 }}",
        f".page {{ position: relative; overflow: hidden; height: {high:f}mm; width: {stock.page_width_mm:f}mm }}",
        'html { font-family: "Paper"; color: #000 } body, p { margin: 0 }',
        ".s { position: absolute; background: #000 } .s span { position: absolute; left: -1.2mm; top: 4.2mm; "
        "font-size: 2.2mm; line-height: 1; background: #fff; white-space: pre }",
        ".s.beside span { left: 4.3mm; top: -1mm }",
        f".how {{ position: absolute; left: {words_left:f}mm; top: {words_top:f}mm; width: {words_left * 3:f}mm; "
        "background: #fff; font-size: 3.1mm; line-height: 1.35; padding: 2mm }",
    ]
    rules += [
        f".s-{number} {{ left: {one.left:f}mm; top: {one.top:f}mm; width: {one.width:f}mm; height: {one.height:f}mm }}"
        for number, one in enumerate(strokes)
    ]
    return rules
