"""Stock of the shop's own, printers measured by a test sheet, shapes, bleed and cut marks."""

from dataclasses import replace
from decimal import Decimal

import pytest
from django.urls import reverse

from production.documents.label_marks import cut_marks
from production.documents.label_sheet import label_corner_mm, label_sheet_pdf
from production.documents.label_stock import LABEL_STOCKS, LETTER_30, ROLL_4X2
from production.documents.printer_sheet import PrinterSheetPaper, printer_sheet_pdf
from production.documents.records import LabelRun, LabelSheetPaper
from production.labels.jobs import new_sheet_pdf
from production.labels.models import Printer, PrinterFit, ShopStock
from production.labels.printer_fit import Readings, correction, fit_words
from production.labels.stocks import find_stock, printer_correction
from soapshop.models import AuditEvent
from soapshop.paper import PaperRefused
from tests.production.pdf_reading import Box, letters, outlines, page_sizes_mm, page_texts
from tests.production.sample_papers import LABEL

D = Decimal
TYPED = {
    "name": "A6 card, 4 stickers",
    "shape": "rectangle",
    "page_width_mm": "148",
    "page_height_mm": "105",
    "columns": "2",
    "rows": "2",
    "label_width_mm": "70",
    "label_height_mm": "48",
    "left_mm": "3",
    "top_mm": "4",
    "pitch_x_mm": "72",
    "pitch_y_mm": "49",
    "corner_radius_mm": "0",
    "safe_margin_mm": "2",
    "bleed_mm": "1",
    "glue_mm": "0",
    "hole_mm": "0",
}


def read(first_x="0", first_y="0", last_x="0", last_y="0"):
    return Readings(D(first_x), D(first_y), D(last_x), D(last_y))


@pytest.mark.parametrize(
    ("given", "scale_y", "offset_y"),
    [
        pytest.param(read(), "1", "0", id="worked by hand: nothing to mend"),
        pytest.param(
            read(first_y="1.5", last_y="1.5"), "1", "1.5", id="worked by hand: the same everywhere is a shift"
        ),
        pytest.param(read(last_y="2.54"), "1.01", "-0.127", id="worked by hand: 2.54 mm over 254 mm is one percent"),
    ],
)
def test_two_readings_give_shift_and_scale(given, scale_y, offset_y):
    found = correction(LETTER_30, given)
    assert (found.scale_y, found.offset_y_mm) == (D(scale_y), D(offset_y))
    assert (found.scale_x, found.offset_x_mm) == (1, 0)


def test_a_corrected_sheet_lands_on_its_labels():
    """A printer that prints 1 % too small and 0.8 mm too far right: what it makes of each place is the place itself."""
    shrink, shift = D("0.99"), D("0.8")
    ends = (LETTER_30.left_mm, LETTER_30.left_mm + 2 * LETTER_30.pitch_x_mm + LETTER_30.label_width_mm)
    first, last = ((place - shift) / shrink - place for place in ends)
    found = correction(LETTER_30, Readings(first, D(0), last, D(0)))
    paper = LabelSheetPaper(
        LETTER_30, (LabelRun(LABEL, 1),), offset_x_mm=found.offset_x_mm, scale_x=found.scale_x, scale_y=found.scale_y
    )
    for position in (1, 2, 3):
        sent, _ = label_corner_mm(paper, position)
        wanted = LETTER_30.left_mm + (position - 1) * LETTER_30.pitch_x_mm
        assert abs(sent * shrink + shift - wanted) < D("0.01")


@pytest.mark.parametrize(
    ("given", "begins"),
    [
        pytest.param(read(last_y="7"), "The error grows by 7 mm", id="case-C77: growing is a pitch or a scale"),
        pytest.param(read("1", "1", "1", "1"), "The error is much the same", id="case-C77: the same is a shift"),
        pytest.param(read(), "This printer needs no correction.", id="nothing to say"),
    ],
)
def test_a_drift_is_told_from_a_shift(given, begins):
    assert fit_words(given)[: len(begins)] == begins


def test_a_page_printed_to_fit_is_refused():
    paper = LabelSheetPaper(LETTER_30, (LabelRun(LABEL, 1),), scale_y=D("1.03"))
    with pytest.raises(PaperRefused, match="Set its scaling to 100 %"):
        label_sheet_pdf(paper)


@pytest.mark.parametrize("stock", [LETTER_30, ROLL_4X2], ids=lambda stock: stock.code)
def test_a_test_sheet_has_true_size_and_says_how(stock):
    pdf = printer_sheet_pdf(PrinterSheetPaper(stock, "Desk <b>printer</b>"))
    assert len(page_sizes_mm(pdf)) == 1
    assert page_sizes_mm(pdf)[0] == pytest.approx((float(stock.page_width_mm), float(stock.page_height_mm)), abs=0.01)
    assert "Desk <b>printer</b>" in page_texts(pdf)[0]


@pytest.mark.parametrize("code", ["band-letter", "band-a4", "round-letter", "tag-letter"])
def test_words_keep_inside_each_shape(code):
    stock = LABEL_STOCKS[code]
    face = replace(LABEL, ingredients="") if stock.shape == "round" else LABEL
    pdf = label_sheet_pdf(LabelSheetPaper(stock, (LabelRun(face, 1),), has_outlines=True))
    x, y, width, height = (
        float(side) for side in (stock.left_mm, stock.top_mm, stock.label_width_mm, stock.label_height_mm)
    )
    for letter, box in letters(pdf):
        if letter.isspace():
            continue
        assert Box(x, y, width - float(stock.glue_mm), height).holds(box)
        assert box.top >= y + float(stock.hole_mm)
        if stock.shape == "round":
            corners = [(box.left, box.top), (box.left + box.width, box.top + box.height)]
            assert all((cx - x - width / 2) ** 2 + (cy - y - height / 2) ** 2 <= (width / 2) ** 2 for cx, cy in corners)


def test_cut_marks_stand_at_each_edge_and_off_the_labels():
    stock = replace(LETTER_30, bleed_mm=D(0))
    marks = cut_marks(stock)
    right = stock.left_mm + 2 * stock.pitch_x_mm + stock.label_width_mm
    assert len(marks) == 2 * 6 + 2 * 11  # six edges across at top and foot, eleven down at both sides: worked by hand
    for mark in marks:
        is_above = mark.top + mark.height <= stock.top_mm
        is_below = mark.top >= stock.top_mm + 10 * stock.pitch_y_mm
        is_beside = mark.left + mark.width <= stock.left_mm or mark.left >= right
        assert is_above or is_below or is_beside


def test_a_color_outside_the_list_is_refused():
    with pytest.raises(PaperRefused, match="Choose one of the list"):
        label_sheet_pdf(LabelSheetPaper(LETTER_30, (LabelRun(LABEL, 1),), accent_hex="red;}"))


def test_words_that_do_not_fit_name_the_stock_of_the_shop_that_would_do(owner, workshop):
    ShopStock.objects.create(
        **{name: value if name in ("name", "shape") else D(value) for name, value in TYPED.items()}
        | {"name": "Card 70"}
    )
    face = replace(LABEL, ingredients_min_mm=D("1.5875"))
    with pytest.raises(PaperRefused, match="They fit on: US Letter, 10 labels of 4 × 2 in; ") as told:
        new_sheet_pdf(LabelSheetPaper(LETTER_30, (LabelRun(face, 1),)))
    assert "Card 70" not in str(told.value)  # it is on another page size, which the printer does not hold
    ShopStock.objects.update(page_width_mm=LETTER_30.page_width_mm, page_height_mm=LETTER_30.page_height_mm)
    with pytest.raises(PaperRefused, match="They fit on: Card 70; "):
        new_sheet_pdf(LabelSheetPaper(LETTER_30, (LabelRun(face, 1),)))


def test_a_stock_of_the_shop_is_kept_and_printed_on(owner_client):
    response = owner_client.post(reverse("production:label-stock-new"), TYPED)
    assert response.status_code == 302
    row = ShopStock.objects.get()
    stock = find_stock(row.code)
    assert AuditEvent.objects.filter(verb="save_label_stock").count() == 1
    pdf = label_sheet_pdf(LabelSheetPaper(stock, (LabelRun(LABEL, 4),), has_outlines=True, accent_hex="#2f5d50"))
    found = [(round(box.left, 1), round(box.top, 1)) for box in outlines(pdf)]
    assert found == [(3.0, 4.0), (75.0, 4.0), (3.0, 53.0), (75.0, 53.0)]


@pytest.mark.parametrize(
    "changes",
    [
        {"label_width_mm": "abc"},
        {"label_width_mm": "1e9"},
        {"label_width_mm": "-3"},
        {"columns": "0"},
        {"columns": "99999999999"},
        {"name": ""},
        {"pitch_x_mm": "60"},
        {"left_mm": "100"},
        {"safe_margin_mm": "40"},
        {"shape": "star"},
    ],
    ids=str,
)
def test_measures_that_cannot_be_are_refused_and_kept_typed(owner_client, changes):
    response = owner_client.post(reverse("production:label-stock-new"), TYPED | changes)
    assert response.status_code == 200
    assert ShopStock.objects.count() == 0
    assert response.context["form"].errors
    assert 'value="105"' in response.content.decode()


def test_a_printer_is_measured_once_for_each_stock(owner_client):
    owner_client.post(reverse("production:label-stocks"), {"name": "Desk printer"})
    printer = Printer.objects.get()
    address = reverse("production:label-printer", args=[printer.pk])
    typed = {"stock": "letter-30", "first_x_mm": "1", "first_y_mm": "0.5", "last_x_mm": "1", "last_y_mm": "0.5"}
    for _ in range(2):
        assert owner_client.post(address, typed).status_code == 302
    assert PrinterFit.objects.count() == 1
    assert printer_correction(printer.pk, LETTER_30).offset_x_mm == 1
    assert printer_correction(None, LETTER_30).offset_x_mm == 0
    assert "a shift, and it is put right" in owner_client.get(address).content.decode()


@pytest.mark.parametrize(
    "typed", [{"last_y_mm": "9"}, {"last_y_mm": "x"}, {"last_y_mm": "99"}, {"stock": "none"}], ids=str
)
def test_readings_that_cannot_be_are_refused(owner_client, typed):
    printer = Printer.objects.create(name="Desk printer")
    usual = {"stock": "letter-30", "first_x_mm": "1", "first_y_mm": "0", "last_x_mm": "0", "last_y_mm": "0"}
    response = owner_client.post(reverse("production:label-printer", args=[printer.pk]), usual | typed)
    if "stock" not in typed:
        assert response.context["form"].errors
    assert PrinterFit.objects.count() == 0


def test_a_second_printer_of_the_same_name_is_refused(owner_client):
    Printer.objects.create(name="Desk printer")
    response = owner_client.post(reverse("production:label-stocks"), {"name": "desk  printer"})
    assert response.context["form"].errors["name"] == [
        "There is a printer “desk printer” already. Give this one another name."
    ]


def test_unknown_ones_are_not_found(owner_client):
    for address in ("/labels/stock/99/", "/labels/printers/99/", "/labels/printers/99/letter-30.pdf"):
        assert owner_client.get(address).status_code == 404
