"""Labels on sheets or a roll, each in its exact place."""

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.template.loader import render_to_string

from production.documents.label_blocks import FittedLabel
from production.documents.label_fit import fit_label
from production.documents.label_marks import accent_rules, cut_marks, cut_rules
from production.documents.label_records import LabelFace, LabelShape, LabelSheetPaper, LabelStock
from production.documents.qr_path import qr_path
from soapshop.paper import FONT_FACES, PaperRefused, render_pdf
from soapshop.paper_words import exact_words

LONGEST_LABEL_TEXT = 3000
MOST_LABELS = 600
MOST_OFFSET_MM = Decimal(10)
# Beyond this the page is printed "to fit", and no correction holds for long (own choice).
MOST_SCALE_OFF = Decimal("0.02")
LOGO = "logo"
COLOR = re.compile(r"#[0-9a-f]{6}")


@dataclass(frozen=True, slots=True)
class LabelJob:
    """A sheet with the bytes of its logo, as it is handed to the process that prints."""

    paper: LabelSheetPaper
    logo_jpeg: bytes = b""


def label_job_pdf(job: LabelJob) -> bytes:
    return label_sheet_pdf(job.paper, logo_jpeg=job.logo_jpeg)


def label_sheet_pdf(paper: LabelSheetPaper, *, logo_jpeg: bytes = b"") -> bytes:
    """Return the labels as PDF; raises LabelDoesNotFit, PaperRefused or PaperUnavailable."""
    _refuse_unprintable_sheet(paper)
    paper = exact_words(paper, longest=LONGEST_LABEL_TEXT)
    stock = paper.stock
    fitted = [fit_label(run.face, stock) for run in paper.runs]
    labels = [_label_view(number, run.face, fitted[number]) for number, run in enumerate(paper.runs)]
    queue = [label for label, run in zip(labels, paper.runs, strict=True) for _ in range(run.copies)]
    context = {"paper": paper, "pages": _pages(queue, paper.start_position, stock.labels_per_page)}
    marks = cut_marks(stock) if paper.has_cut_marks else ()
    context |= {"marks": range(len(marks)), "has_accent": bool(paper.accent_hex)}
    context["is_round"] = stock.shape == LabelShape.ROUND
    html = render_to_string("production/papers/label_sheet.html", context)
    rules = [_stock_rules(paper), *(_fit_rules(number, one) for number, one in enumerate(fitted)), cut_rules(marks)]
    styles = (render_to_string("production/papers/label_sheet.css"), "\n".join(rules))
    return render_pdf(html, stylesheets=styles, pictures={LOGO: logo_jpeg} if logo_jpeg else {})


def label_corner_mm(paper: LabelSheetPaper, position: int) -> tuple[Decimal, Decimal]:
    """Left and top of a position on the page, counted from 1 along the rows."""
    stock = paper.stock
    row, column = divmod(position - 1, stock.columns)
    left = (stock.left_mm + column * stock.pitch_x_mm) * paper.scale_x + paper.offset_x_mm
    return left, (stock.top_mm + row * stock.pitch_y_mm) * paper.scale_y + paper.offset_y_mm


def _refuse_unprintable_sheet(paper: LabelSheetPaper) -> None:
    per_page = paper.stock.labels_per_page
    count = sum(run.copies for run in paper.runs)
    if not 1 <= paper.start_position <= per_page:
        raise PaperRefused(f"This sheet has labels 1 to {per_page}. Start at one of them.")
    if any(run.copies < 1 for run in paper.runs) or not paper.runs:
        raise PaperRefused("There is no label to print. Ask for at least one copy.")
    if count > MOST_LABELS:
        raise PaperRefused(f"{count:,} labels are more than one print holds. Print {MOST_LABELS} at a time.")
    if max(abs(paper.offset_x_mm), abs(paper.offset_y_mm)) > MOST_OFFSET_MM:
        raise PaperRefused(f"The printer offset may be at most {MOST_OFFSET_MM} mm. Check the sign and the unit.")
    if max(abs(paper.scale_x - 1), abs(paper.scale_y - 1)) > MOST_SCALE_OFF:
        raise PaperRefused(
            "This printer stretches or shrinks the page by more than two percent. "
            "Set its scaling to 100 % (not “fit to page”), then measure a new test sheet."
        )
    if paper.accent_hex and not COLOR.fullmatch(paper.accent_hex):
        raise PaperRefused("The color of the label is not known. Choose one of the list.")
    if any(run.face.logo_aspect < 0 for run in paper.runs):
        raise PaperRefused("The logo has no size. Keep it once more.")
    refuse_crooked_stock(paper.stock)


def refuse_crooked_stock(stock: LabelStock) -> None:
    """Raise PaperRefused for labels that leave their page or lie on each other."""
    right = stock.left_mm + (stock.columns - 1) * stock.pitch_x_mm + stock.label_width_mm
    bottom = stock.top_mm + (stock.rows - 1) * stock.pitch_y_mm + stock.label_height_mm
    has_room = right <= stock.page_width_mm and bottom <= stock.page_height_mm
    is_inside = min(stock.left_mm, stock.top_mm) >= 0 and has_room
    is_apart = (stock.columns == 1 or stock.pitch_x_mm >= stock.label_width_mm) and (
        stock.rows == 1 or stock.pitch_y_mm >= stock.label_height_mm
    )
    if stock.columns < 1 or stock.rows < 1 or not is_inside or not is_apart:
        raise PaperRefused(f"The measures of “{stock.name}” do not fit its page. Measure margins and pitches again.")


def _pages(queue: list[dict[str, Any]], start: int, per_page: int) -> list[list[dict[str, Any]]]:
    """Labels with their position, page by page; the first page begins at the given position."""
    pages: list[list[dict[str, Any]]] = [[]]
    position = start
    for label in queue:
        if position > per_page:
            pages.append([])
            position = 1
        pages[-1].append({"position": position, "label": label})
        position += 1
    return pages


def _label_view(number: int, face: LabelFace, fitted: FittedLabel) -> dict[str, Any]:
    return {
        "number": number,
        "name": face.product,
        "blocks": fitted.blocks,
        "qr": qr_path(face.qr_text) if face.qr_text else None,
        "qr_text": face.qr_text,
        "has_rule": bool(fitted.rule_left_mm),
        "logo": f"picture:{LOGO}" if fitted.logo else "",
    }


def _stock_rules(paper: LabelSheetPaper) -> str:
    """Styles from numbers alone: page, label and the place of each position."""
    stock = paper.stock
    page = f"{stock.page_width_mm:f}mm {stock.page_height_mm:f}mm"
    rules = [
        f"@page {{ size: {page}; margin: 0 }}",
        f".page {{ width: {stock.page_width_mm:f}mm; height: {stock.page_height_mm:f}mm }}",
        f".label {{ width: {stock.label_width_mm:f}mm; height: {stock.label_height_mm:f}mm; "
        f"border-radius: {_radius(stock)} }}",
    ]
    if paper.scale_x != 1 or paper.scale_y != 1:
        rules.append(f".label {{ transform: scale({paper.scale_x:f}, {paper.scale_y:f}); transform-origin: 0 0 }}")
    for position in range(1, stock.labels_per_page + 1):
        left, top = label_corner_mm(paper, position)
        rules.append(f".at-{position} {{ left: {left:.5f}mm; top: {top:.5f}mm }}")
        if paper.accent_hex:
            rules.append(accent_rules(paper, position, left, top))
    return "\n".join(rules)


def _radius(stock: LabelStock) -> str:
    return "50%" if stock.shape == LabelShape.ROUND else f"{stock.corner_radius_mm:f}mm"


def _fit_rules(number: int, fitted: FittedLabel) -> str:
    rules = []
    for block in fitted.blocks:
        family, weight = FONT_FACES[block.face]
        rules.append(
            f".face-{number} .{block.role} {{ left: {block.left_mm:.4f}mm; top: {block.top_mm:.4f}mm; "
            f"width: {block.width_mm:.4f}mm; height: {block.height_mm:.4f}mm; "
            f'font: {weight} {block.size_mm:.4f}mm/{block.line_mm:.4f}mm "{family}"; '
            f"text-align: {'center' if block.is_centered else 'left'} }}"
        )
    if fitted.qr_mm:
        rules.append(
            f".face-{number} .qr {{ left: {fitted.qr_left_mm:.4f}mm; top: {fitted.qr_top_mm:.4f}mm; "
            f"width: {fitted.qr_mm:.4f}mm; height: {fitted.qr_mm:.4f}mm }}"
        )
    if (logo := fitted.logo) is not None:
        rules.append(
            f".face-{number} .logo {{ left: {logo.left_mm:.4f}mm; top: {logo.top_mm:.4f}mm; "
            f"width: {logo.width_mm:.4f}mm; height: {logo.height_mm:.4f}mm }}"
        )
    if fitted.rule_left_mm:
        rules.append(f".face-{number} .rule {{ left: {fitted.rule_left_mm:.4f}mm }}")
    return "\n".join(rules)
