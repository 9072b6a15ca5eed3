"""Every paper there is: tagged, titled, in its language, the same bytes again; hostile words are words on each."""

import io
import re
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path

import pypdf
import pytest

from orders.agreement.sheet import OrderSheet, SheetFee, SheetJug, SheetLayer, SheetLine
from orders.papers.documents import customer_paper_pdf
from orders.papers.records import CustomerPaper, PaidRow, TaxRow
from production.documents.batch_paper import BatchPaper, PaperSection, PaperTable, batch_paper_pdf
from production.documents.batch_ticket import batch_ticket_pdf
from production.documents.declaration_sheet import declaration_sheet_pdf
from production.documents.label_sheet import LabelJob, label_job_pdf, label_sheet_pdf
from production.documents.label_stock import LETTER_10
from production.documents.lot_label import LotLabelPaper, lot_label_pdf
from production.documents.packing_slip import PackingSlip, SlipLine, SlipRest, packing_slip_pdf
from production.documents.printer_sheet import PrinterSheetPaper, printer_sheet_pdf
from production.documents.records import BatchTicketPaper, LabelRun, LabelSheetPaper
from soapshop.paper import PaperRefused
from tests.production.pdf_reading import page_texts
from tests.production.sample_papers import DECLARATION, LABEL, TICKET
from tests.production.test_documents_hostile import MARKUP, SHORT_TICKET, printed_words, with_words

ROOT = Path(__file__).resolve().parents[2]
D = Decimal
DAY = date(2026, 11, 24)
LABELS = LabelSheetPaper(LETTER_10, (LabelRun(LABEL, 1),), title="Labels, batch B-2026-041")
BATCH_PAPER = BatchPaper(
    kind="Batch certificate",
    product="Dusk over Harbor Hill",
    finish="with sprig topper",
    batch_number="B-2026-041",
    facts=(("Market", "US cosmetic"),),
    sections=(
        PaperSection("Decision", ("Released.",), PaperTable(("Test", "#Figure"), (("Drop", "clear"),))),
        PaperSection("What this paper cannot say", ("Traces.",), is_list=True),
    ),
    printed_at=datetime(2026, 11, 24, 14, 5, tzinfo=UTC),
    printed_by="Mara",
    findings=("One scent has no statement.",),
    sign=("For the workshop", "Day"),
    maker_lines=LABEL.maker_lines,
    shop_name="Harbor Hill Soap Room",
)
SLIP = PackingSlip(
    order_number="1042",
    parcel=1,
    customer="Ada Linden",
    hand_over="by post",
    lines=(SlipLine("Dusk", "plain", 12, "B-2026-041", "For Ada", "box of 3", "Best from Dec 23, 2026"),),
    rest=(SlipRest("Dusk", "with topper", 4),),
    ordered_bars=16,
    address_lines=("1 Mill Row",),
    packed_on=DAY,
    packed_by="Mara",
    note="Fragile.",
    shop_name="Harbor Hill Soap Room",
    maker_lines=LABEL.maker_lines,
)
TUB = LotLabelPaper("L26-001", "Olive oil", "Grove and Daughters", "S-77", DAY, DAY, "https://shop.example/lot", "Lye")
LAYER = SheetLayer(D(1), (SheetJug("A", "ivory", "#f4ecd8"),))
LINE = SheetLine(1, "Dusk", "Harbor base", 3, 12, D(8), D(96), (("Seal", 12),), "For Ada", "box", "cedar", (LAYER,))
SHEET = OrderSheet(
    number="1042",
    customer="Ada Linden",
    occasion="a wedding",
    event_date=DAY,
    needed_by=DAY,
    promised_date=DAY,
    hand_over="by post",
    travel_days=2,
    lines=(LINE,),
    fees=(SheetFee("Box", D(4)),),
    discount=D(5),
    discount_words="a second order",
    net=D(95),
    tax=D("5.7"),
    tax_name="Sales tax",
    tax_percent=D(6),
    is_tax_inside=False,
    total=D("100.7"),
    deposit=D(50),
    balance=D("50.7"),
    currency="USD",
)
CUSTOMER_PAPERS = {
    kind: CustomerPaper(
        kind=kind,
        title=kind.replace("_", " ").capitalize(),
        number="I-0001",
        issued_on=DAY,
        shop_name="Harbor Hill Soap Room",
        shop_lines=LABEL.maker_lines,
        customer_lines=("Ada Linden", "1 Mill Row"),
        sheet=SHEET,
        paper_size="letter",
        tax_number="T-1",
        words="Thank you.",
        foot_words="Bars dry on.",
        terms=("The balance is due before hand-over.",),
        taxes=(TaxRow(D(6), D(95), D("5.7")),),
        paid=(PaidRow(DAY, "by card", D(50)),),
        amount=D(50),
        to_be_paid=D("50.7"),
    )
    for kind in ("quote", "confirmation", "invoice", "receipt", "credit_note", "packing_list")
}
PAPERS = {
    "batch ticket": (batch_ticket_pdf, SHORT_TICKET),
    "ingredient sheet": (declaration_sheet_pdf, DECLARATION),
    "label sheet": (label_sheet_pdf, LABELS),
    "label job": (label_job_pdf, LabelJob(LABELS)),
    "batch paper": (batch_paper_pdf, BATCH_PAPER),
    "printer sheet": (printer_sheet_pdf, PrinterSheetPaper(LETTER_10, "Desk printer")),
    "packing slip": (packing_slip_pdf, SLIP),
    "label of a tub": (lot_label_pdf, TUB),
    **{kind: (customer_paper_pdf, paper) for kind, paper in CUSTOMER_PAPERS.items()},
}
ALIKE = ("confirmation", "invoice", "credit_note", "packing_list")  # to the quote or the receipt
MOST_IN_ONE_PLACE = 600
EACH = pytest.mark.parametrize(("make", "paper"), PAPERS.values(), ids=PAPERS)
# Labels are small: each hostile text is tried on them by itself, in test_documents_hostile.
ROOMY = {name: pair for name, pair in PAPERS.items() if name not in ("label sheet", "label job", *ALIKE)}
EACH_ROOMY = pytest.mark.parametrize(("make", "paper"), ROOMY.values(), ids=ROOMY)
SAYS_EXACTLY = (customer_paper_pdf, label_sheet_pdf, label_job_pdf)


def hostile(paper, words):
    """The same paper with every free text replaced; what kind it is stays, and what has little room gets few words."""
    changed = with_words(paper, words)
    if isinstance(paper, CustomerPaper):
        return replace(changed, kind=paper.kind)
    if isinstance(paper, BatchTicketPaper) and len(words) < MOST_IN_ONE_PLACE:
        emergency = with_words(paper.emergency, words[:40])
        short = {
            "batch_number": words[:14],
            "shop_name": words[:40],
            "printed_by": words[:40],
            "scan_text": words[:200],
        }
        return replace(changed, **short, emergency=emergency)
    return changed


def test_no_paper_is_left_out():
    """Every function of the program that returns a PDF for a frozen record is in the table above."""
    files = [*(ROOT / "production" / "documents").glob("*.py"), ROOT / "orders" / "papers" / "documents.py"]
    makers = {name for file in files for name in re.findall(r"^def (\w+_pdf)\(", file.read_text(), re.MULTILINE)}
    assert makers == {make.__name__ for make, _ in PAPERS.values()}


@EACH
def test_a_paper_is_tagged_titled_in_its_language_and_the_same_again(make, paper):
    pdf = make(paper)
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    catalog = reader.trailer["/Root"]
    assert catalog["/Lang"] == "en"
    assert catalog["/MarkInfo"]["/Marked"].value is True
    assert b'pdfuaid:part="1"' in catalog["/Metadata"].get_data()
    assert reader.metadata.title
    fonts = [font.get_object()["/BaseFont"] for page in reader.pages for font in page["/Resources"]["/Font"].values()]
    assert {str(font).split("+")[-1].split("-")[0].removesuffix("Condensed") for font in fonts} == {"Paper"}
    assert make(paper) == pdf


@EACH_ROOMY
def test_markup_and_references_are_printed_as_words(listener, make, paper):
    port, calls = listener
    words = " ".join(MARKUP).replace("{port}", str(port))
    if make in (printer_sheet_pdf, lot_label_pdf):
        words = words[:190]
    assert "".join(words.split()) in printed_words(make(hostile(paper, words)))
    assert calls == []


@EACH_ROOMY
def test_letters_the_typeface_lacks_are_named_before_printing_or_written_as_their_code(make, paper):
    words = "Soap 🙂 \u202eevil סבון \x00"
    if make in SAYS_EXACTLY:
        with pytest.raises(PaperRefused, match="The printed typeface has no sign for"):
            make(hostile(paper, words))
        return
    for code in ("[U+1F642]", "[U+202E]", "[U+05E1][U+05D1][U+05D5][U+05DF]", "[U+0000]"):
        assert code in printed_words(make(hostile(paper, words)))


@EACH
@pytest.mark.parametrize("words", ["soap " * 1000, "s" * 5000], ids=["words", "one word"])
def test_5000_letters_are_refused_with_a_sentence(make, paper, words):
    with pytest.raises(PaperRefused, match="has 5,000 letters"):
        make(hostile(paper, words))


def test_a_paper_without_anything_unusual_says_its_own_words():
    """Negative control: nothing is turned into a code or left out."""
    said = " ".join(page_texts(batch_paper_pdf(BATCH_PAPER)))
    assert "[U+" not in said
    assert "Dusk over Harbor Hill" in said
    assert batch_ticket_pdf(replace(TICKET, printed_by="Ana")) != batch_ticket_pdf(TICKET)
