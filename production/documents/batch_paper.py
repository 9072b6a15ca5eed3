"""A paper about one batch in sections of sentences and tables: certificate, allergens, product information."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.template.loader import render_to_string

from production.documents.figures import moment_text
from production.documents.page_rules import page_rule
from soapshop.paper import render_pdf
from soapshop.paper_words import plain_words

LONGEST_TEXT = 3000
STYLESHEETS = ("production/papers/paper.css", "production/papers/declaration_sheet.css")


@dataclass(frozen=True, slots=True)
class PaperTable:
    """Columns whose heading begins with "#" hold figures."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class PaperSection:
    title: str
    sentences: tuple[str, ...] = ()
    table: PaperTable | None = None
    is_list: bool = False  # sentences as points


@dataclass(frozen=True, slots=True)
class BatchPaper:
    kind: str
    product: str
    finish: str
    batch_number: str
    facts: tuple[tuple[str, str], ...]
    sections: tuple[PaperSection, ...]
    printed_at: datetime
    printed_by: str
    findings: tuple[str, ...] = ()
    sign: tuple[str, ...] = ()  # boxes to sign in, by their headings
    notice: str = "A drafting aid, not legal advice. The maker is responsible."
    maker_lines: tuple[str, ...] = ()
    shop_name: str = ""
    paper_size: str = "letter"
    language: str = "en"
    code_label: str = "Batch"  # what ``batch_number`` is, where the paper is about something else


def batch_paper_pdf(paper: BatchPaper) -> bytes:
    """Return the paper as PDF; raises PaperRefused or PaperUnavailable with a sentence for people."""
    paper = plain_words(paper, longest=LONGEST_TEXT)
    context = {
        "paper": paper,
        "printed": moment_text(paper.printed_at),
        "sections": [_section(section) for section in paper.sections],
    }
    html = render_to_string("production/papers/batch_paper.html", context)
    return render_pdf(html, stylesheets=(page_rule(paper.paper_size), *map(render_to_string, STYLESHEETS)))


def _section(section: PaperSection) -> dict[str, Any]:
    view: dict[str, Any] = {"title": section.title, "sentences": section.sentences, "is_list": section.is_list}
    if section.table is not None:
        are_figures = [heading[:1] == "#" for heading in section.table.columns]
        view["columns"] = [
            (heading.removeprefix("#"), is_figure)
            for heading, is_figure in zip(section.table.columns, are_figures, strict=True)
        ]
        view["rows"] = [list(zip(row, are_figures, strict=True)) for row in section.table.rows]
    return view
