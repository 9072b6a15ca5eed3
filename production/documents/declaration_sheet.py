"""The ingredient declaration with its working, to keep with the batch."""

from typing import Any

from django.template.loader import render_to_string

from production.documents.declaration_records import AllergenLine, DeclarationPaper
from production.documents.figures import day_text, grams_text, moment_text
from production.documents.page_rules import page_rule
from soapshop.paper import render_pdf
from soapshop.paper_words import plain_words

LONGEST_DECLARATION_TEXT = 3000
STYLESHEETS = ("production/papers/paper.css", "production/papers/declaration_sheet.css")


def declaration_sheet_pdf(paper: DeclarationPaper) -> bytes:
    """Return the sheet as PDF; raises PaperRefused or PaperUnavailable with a sentence for people."""
    paper = plain_words(paper, longest=LONGEST_DECLARATION_TEXT)
    html = render_to_string("production/papers/declaration_sheet.html", _context(paper))
    return render_pdf(html, stylesheets=(page_rule(paper.paper_size), *map(render_to_string, STYLESHEETS)))


def _context(paper: DeclarationPaper) -> dict[str, Any]:
    return {
        "paper": paper,
        "printed": moment_text(paper.printed_at),
        "made": day_text(paper.made_date) if paper.made_date else "",
        "total": "" if paper.total_grams is None else grams_text(paper.total_grams),
        "rows": [
            {"line": line, "grams": grams_text(line.grams), "percent": f"{line.percent:f} %"} for line in paper.lines
        ],
        "allergens": [_allergen(line) for line in paper.allergens],
    }


def _allergen(line: AllergenLine) -> dict[str, Any]:
    return {
        "line": line,
        "percent": "unknown" if line.percent is None else f"{line.percent:f} %",
        "threshold": f"{line.threshold_percent:f} %",
    }
