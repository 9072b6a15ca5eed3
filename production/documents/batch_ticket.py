"""The batch ticket: the sheet that hangs at the bench and is filled in by hand."""

from decimal import Decimal
from itertools import zip_longest
from typing import Any

from django.template.loader import render_to_string

from formulas.drawing import bar_cross_section_svg
from production.documents.figures import day_text, grams_text, moment_text
from production.documents.page_rules import page_rule
from production.documents.qr_path import qr_path
from production.documents.ticket_records import BatchTicketPaper, CurePlan, PortionColor, PortionLine, WeighingLine
from soapshop.paper import PaperRefused, lay_out, render_pdf
from soapshop.paper_words import plain_words

# Above this the two columns no longer fit beside each other on one page, and the sections follow one another.
COMPACT_STEPS = 15
COMPACT_JUGS = 7
COMPACT_WEIGHINGS = 15
TENTH = Decimal("0.1")
# Up to this there is room for larger type.
ROOMY_STEPS = 6
ROOMY_WEIGHINGS = 8
# From ordinary to full: the last is for a sheet with many jugs, parts and cautions.
ORDINARY = ("", "tight", "tight full")
# Letters in the foot of each page: above the first in smaller type, above the second it would run off the paper.
LONG_FOOT_LETTERS = 160
LONGEST_FOOT_LETTERS = 420
LONGEST_BATCH_NUMBER = 60


def batch_ticket_pdf(paper: BatchTicketPaper) -> bytes:
    """Return the ticket as PDF, on one page where it fits; raises PaperRefused or PaperUnavailable with a sentence."""
    paper = plain_words(paper)
    _refuse_long_foot(paper)
    sheets = ("production/papers/paper.css", "production/papers/batch_ticket.css")
    stylesheets = (page_rule(paper.paper_size), *map(render_to_string, sheets))
    context = _context(paper)
    for density in _densities(paper):
        layout = lay_out(_html(context, density=density, is_compact=True), stylesheets=stylesheets)
        if layout.page_count == 1:
            return layout.pdf()
    return render_pdf(_html(context, density="", is_compact=False), stylesheets=stylesheets)


def _densities(paper: BatchTicketPaper) -> tuple[str, ...]:
    """Arrangements on one page that are worth a try, airy ones first."""
    if len(paper.steps) > COMPACT_STEPS or len(paper.portions) > COMPACT_JUGS:
        return ()
    if len(paper.weighings) > COMPACT_WEIGHINGS:
        return ()
    is_short = len(paper.steps) <= ROOMY_STEPS and len(paper.weighings) <= ROOMY_WEIGHINGS
    return ("roomy", *ORDINARY) if is_short else ORDINARY


def _foot_letters(paper: BatchTicketPaper) -> int:
    emergency = paper.emergency
    parts = (emergency.eyewash_place, emergency.emergency_number, emergency.poison_center)
    return sum(map(len, (*parts, paper.shop_name, paper.printed_by)))


def _refuse_long_foot(paper: BatchTicketPaper) -> None:
    if _foot_letters(paper) > LONGEST_FOOT_LETTERS:
        raise PaperRefused(
            f"Shop name and emergency texts have {_foot_letters(paper)} letters; the foot of a ticket holds "
            f"{LONGEST_FOOT_LETTERS}. Shorten them in the settings."
        )
    if len(paper.batch_number) > LONGEST_BATCH_NUMBER:
        raise PaperRefused(
            f"A batch number may have {LONGEST_BATCH_NUMBER} letters on paper. Give this one a shorter one."
        )


def _html(context: dict[str, Any], *, density: str, is_compact: bool) -> str:
    choices = {"density": density, "is_compact": is_compact}
    return render_to_string("production/papers/batch_ticket.html", context | choices)


def _context(paper: BatchTicketPaper) -> dict[str, Any]:
    scan_text = paper.scan_text or paper.batch_number
    has_side = bool(paper.portions or paper.drawing)
    return {
        "paper": paper,
        "approved": _approval(paper),
        "oils": grams_text(paper.oil_grams),
        "total": grams_text(paper.total_grams),
        "printed": moment_text(paper.printed_at),
        "qr": qr_path(scan_text),
        "scan_text": scan_text,
        "is_foot_long": _foot_letters(paper) > LONG_FOOT_LETTERS,
        "start_pairs": list(zip_longest(paper.before_start[::2], paper.before_start[1::2], fillvalue="")),
        "start_class": "with-side" if paper.parts else "",
        "make_class": "with-side" if has_side else "",
        "has_side": has_side,
        "weighings": _weighing_rows(paper.weighings),
        "portions": [_jug(portion) for portion in paper.portions],
        "drawing": paper.drawing and bar_cross_section_svg(paper.drawing, key="face", is_small=True),
        "yield_lines": paper.in_process_checks + paper.yield_points,
        "cure_lines": _cure_lines(paper.cure),
    }


def _approval(paper: BatchTicketPaper) -> str:
    day = paper.formula_approved_date
    return f"approved {day_text(day)}" if day else "not approved"


def _weighing_rows(lines: tuple[WeighingLine, ...]) -> list[dict[str, Any]]:
    rows = []
    phase = None
    for number, line in enumerate(lines, start=1):
        rows.append(
            {
                "line": line,
                "is_first": line.phase != phase,
                "is_last": number == len(lines) or lines[number].phase != line.phase,
                "planned": grams_text(line.planned_grams),
                "band": f"{grams_text(line.accept_from_grams)} – {grams_text(line.accept_to_grams)}",
                "total": "" if line.running_total_grams is None else grams_text(line.running_total_grams),
            }
        )
        phase = line.phase
    return rows


def _jug(portion: PortionLine) -> dict[str, Any]:
    return {
        "line": portion,
        "grams": grams_text(portion.grams),
        "detail": ", ".join(part for part in (portion.pour_order, portion.trace) if part),
        "colors": ", ".join(map(_color, portion.colors)),
    }


def _color(color: PortionColor) -> str:
    if color.teaspoons is None:
        return f"{color.name} {grams_text(color.grams)} g"
    spoons = color.teaspoons.quantize(TENTH) if color.teaspoons >= TENTH else color.teaspoons
    return f"{color.name} {grams_text(color.grams)} g ({spoons} tsp)"


def _cure_lines(cure: CurePlan) -> list[dict[str, Any]]:
    weighing_days = ", ".join(day_text(day, has_year=False) for day in cure.weighing_dates)
    lines = (
        ("Pour day", day_text(cure.pour_date) if cure.pour_date else ""),
        ("Ready from", day_text(cure.ready_date) if cure.ready_date else ""),
        ("Weigh on", weighing_days),
        ("Place on the rack", cure.rack),
    )
    return [{"name": name, "text": text, "is_printed": bool(text)} for name, text in lines]
