"""The slip that lies in one parcel: what is in it, from which batches, and what is still to come."""

from dataclasses import dataclass
from datetime import date

from django.template.loader import render_to_string

from production.documents.figures import day_text
from production.documents.page_rules import page_rule
from soapshop.paper import render_pdf
from soapshop.paper_words import plain_words

STYLESHEETS = ("production/papers/paper.css", "production/papers/packing_slip.css")


@dataclass(frozen=True, slots=True)
class SlipLine:
    """Bars of one kind from one batch. `kept` says how long they keep, or from when they are best."""

    product: str
    finish: str
    bars: int
    batch_number: str
    wording: str = ""
    packaging: str = ""
    kept: str = ""


@dataclass(frozen=True, slots=True)
class SlipRest:
    """Bars of one kind that are not in this parcel nor in one before it."""

    product: str
    finish: str
    bars: int


@dataclass(frozen=True, slots=True)
class PackingSlip:
    order_number: str
    parcel: int
    customer: str
    hand_over: str
    lines: tuple[SlipLine, ...]
    rest: tuple[SlipRest, ...] = ()
    ordered_bars: int = 0
    bars_before: int = 0  # handed over in earlier parcels
    address_lines: tuple[str, ...] = ()
    packed_on: date | None = None
    packed_by: str = ""
    handed_over_on: date | None = None
    note: str = ""
    shop_name: str = ""
    maker_lines: tuple[str, ...] = ()
    paper_size: str = "letter"
    language: str = "en"

    @property
    def bars(self) -> int:
        return sum(line.bars for line in self.lines)

    @property
    def rest_bars(self) -> int:
        return sum(line.bars for line in self.rest)


def packing_slip_pdf(slip: PackingSlip) -> bytes:
    """Return the slip as PDF; raises PaperRefused or PaperUnavailable with a sentence for people."""
    slip = plain_words(slip)
    context = {"slip": slip, "facts": _facts(slip)}
    html = render_to_string("production/papers/packing_slip.html", context)
    return render_pdf(html, stylesheets=(page_rule(slip.paper_size), *map(render_to_string, STYLESHEETS)))


def _facts(slip: PackingSlip) -> list[tuple[str, str]]:
    packed = f"{day_text(slip.packed_on) if slip.packed_on else ''} {'by ' + slip.packed_by if slip.packed_by else ''}"
    facts = [
        ("For", slip.customer),
        ("Hand-over", slip.hand_over),
        ("Packed", packed.strip()),
        ("Handed over", day_text(slip.handed_over_on) if slip.handed_over_on else ""),
    ]
    return [(name, words) for name, words in facts if words]
