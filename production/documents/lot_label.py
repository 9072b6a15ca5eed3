"""The label for a tub on the shelf: what it is, which lot, until when, and a code that opens the lot at the bench."""

from dataclasses import dataclass
from datetime import date

from django.template.loader import render_to_string

from production.documents.figures import day_text
from production.documents.qr_path import qr_path
from soapshop.paper import render_pdf
from soapshop.paper_words import plain_words

STYLESHEET = "production/papers/lot_label.css"


@dataclass(frozen=True, slots=True)
class LotLabelPaper:
    code: str
    material: str
    supplier: str
    supplier_lot: str
    received_date: date
    use_by: date | None
    scan_text: str  # the address behind the code
    caution: str = ""  # in a frame: what a tub of this must say
    state: str = ""  # only where it may not be used: "On hold"
    language: str = "en"


def lot_label_pdf(paper: LotLabelPaper) -> bytes:
    """Return one label of 100 by 62 mm on a page of its own size."""
    paper = plain_words(paper, longest=200)
    context = {
        "paper": paper,
        "received": day_text(paper.received_date),
        "use_by": day_text(paper.use_by) if paper.use_by else "not given",
        "qr": qr_path(paper.scan_text),
    }
    html = render_to_string("production/papers/lot_label.html", context)
    return render_pdf(html, stylesheets=(render_to_string(STYLESHEET),))
