"""Label sheets read back from their PDF: each label in its place, letters at their legal height, nothing cut off."""

import io
from dataclasses import replace
from decimal import Decimal

import pypdf
import pytest

from production.documents.label_fit import LabelDoesNotFit, fit_label
from production.documents.label_sheet import label_sheet_pdf
from production.documents.label_stock import A4_21, LABEL_STOCKS, LETTER_10, LETTER_30, ROLL_4X2
from production.documents.records import LabelRun, LabelSheetPaper, LetterMeasure
from soapshop.paper import PaperRefused
from tests.production.pdf_reading import Box, codes, ink_height_mm, letters, outlines, page_sizes_mm, page_texts
from tests.production.sample_papers import LABEL

NEAR_MM = 0.1
IN = 25.4  # millimeters, exact
# Stated sizes of the sheets: (page, columns, rows, label, first corner, pitch). Margins of the inch sheets:
# 30-up: (8.5 - 3 x 2.625 - 2 x 0.125) / 2 = 0.1875 across, (11 - 10 x 1) / 2 = 0.5 down;
# 10-up: (8.5 - 2 x 4 - 0.1875) / 2 = 0.15625 across, (11 - 5 x 2) / 2 = 0.5 down;
# A4: (210 - 3 x 63.5 - 2 x 2.5) / 2 = 7.25 across, (297 - 7 x 38.1) / 2 = 15.15 down;
# 12 rounds: (8.5 - 3 x 2.5 - 2 x 0.125) / 2 = 0.375 across, (11 - 4 x 2.5 - 3 x 0.125) / 2 = 0.3125 down;
# 20 favors: (8.5 - 4 x 2) / 2 = 0.25 across, (11 - 5 x 2) / 2 = 0.5 down;
# 24 favors on A4: (210 - 4 x 40 - 3 x 5) / 2 = 17.5 across, (297 - 6 x 40 - 5 x 5) / 2 = 16 down.
SHEETS = {
    "letter-30": ((8.5 * IN, 11 * IN), 3, 10, (2.625 * IN, IN), (0.1875 * IN, 0.5 * IN), (2.75 * IN, IN)),
    "letter-10": ((8.5 * IN, 11 * IN), 2, 5, (4 * IN, 2 * IN), (0.15625 * IN, 0.5 * IN), (4.1875 * IN, 2 * IN)),
    "a4-21": ((210.0, 297.0), 3, 7, (63.5, 38.1), (7.25, 15.15), (66.0, 38.1)),
    "round-letter": (
        (8.5 * IN, 11 * IN),
        3,
        4,
        (2.5 * IN, 2.5 * IN),
        (0.375 * IN, 0.3125 * IN),
        (2.625 * IN, 2.625 * IN),
    ),
    "favor-letter": ((8.5 * IN, 11 * IN), 4, 5, (2 * IN, 2 * IN), (0.25 * IN, 0.5 * IN), (2 * IN, 2 * IN)),
    "favor-a4": ((210.0, 297.0), 4, 6, (40.0, 40.0), (17.5, 16.0), (45.0, 45.0)),
    "roll-4x2": ((4 * IN, 2 * IN), 1, 1, (4 * IN, 2 * IN), (0.0, 0.0), (4 * IN, 2 * IN)),
}
FAVOR = replace(LABEL, wording="With love, Ada & Noor, June 12", layout="words", net_weight="", ingredients="")
FACES = {"favor-letter": FAVOR, "favor-a4": FAVOR}


def _sheet(stock=LETTER_30, face=LABEL, copies=None, **changes) -> LabelSheetPaper:
    runs = (LabelRun(face, copies or stock.labels_per_page),)
    return LabelSheetPaper(stock=stock, runs=runs, has_outlines=True, **changes)


def _expected(code: str) -> list[Box]:
    _, columns, rows, (width, height), (left, top), (step_x, step_y) = SHEETS[code]
    return [Box(left + c * step_x, top + r * step_y, width, height) for r in range(rows) for c in range(columns)]


@pytest.fixture(scope="module", params=SHEETS)
def printed(request) -> tuple[str, bytes]:
    return request.param, label_sheet_pdf(_sheet(LABEL_STOCKS[request.param], FACES.get(request.param, LABEL)))


def test_page_has_the_stated_size(printed):
    code, pdf = printed
    assert page_sizes_mm(pdf) == [pytest.approx(SHEETS[code][0], abs=0.01)]


def test_every_label_lies_within_a_tenth_of_a_millimeter(printed):
    code, pdf = printed
    found = [(box.left, box.top, box.width, box.height) for box in outlines(pdf)]
    expected = [(box.left, box.top, box.width, box.height) for box in _expected(code)]
    assert found == [pytest.approx(box, abs=NEAR_MM) for box in expected]


def test_no_letter_lies_outside_its_label(printed):
    """Each letter's box lies in exactly one label, inside the margin that the stock keeps free."""
    code, pdf = printed
    margin = float(LABEL_STOCKS[code].safe_margin_mm)
    safe = [Box(b.left + margin, b.top + margin, b.width - 2 * margin, b.height - 2 * margin) for b in _expected(code)]
    boxes = [box for text, box in letters(pdf) if text.strip()]
    assert {sum(label.holds(box, slack=0.05) for label in safe) for box in boxes} == {1}
    if LABEL_STOCKS[code].shape == "round":
        assert {sum(_is_in_circle(box, label) for label in safe) for box in boxes} == {1}


def _is_in_circle(box: Box, label: Box) -> bool:
    middle_x, middle_y, radius = label.left + label.width / 2, label.top + label.height / 2, label.width / 2 + 0.05
    ends = [(x, y) for x in (box.left, box.left + box.width) for y in (box.top, box.top + box.height)]
    return all((x - middle_x) ** 2 + (y - middle_y) ** 2 <= radius**2 for x, y in ends)


def test_every_label_says_every_word(printed):
    code, pdf = printed
    words = " ".join(page_texts(pdf)).replace("\u00a0", " ")
    count = LABEL_STOCKS[code].labels_per_page
    if code in FACES:
        assert (words.count("Ada & Noor"), words.count(LABEL.brand)) == (count, 0)
        return
    parts = (LABEL.brand, LABEL.product, LABEL.net_weight, LABEL.ingredients, "Batch B-2026-041", LABEL.best_from)
    # the brand is also the first line of the maker's address
    assert [words.count(part) for part in parts] == [2 * count, count, count, count, count, count]


def _heights(pdf: bytes, wanted: str, start: str) -> list[float]:
    """Ink height of letters of one kind in the first run of words that begins with the given text."""
    found = letters(pdf)
    text = "".join(letter for letter, _ in found).replace("\u00a0", " ")
    at = text.index(start)
    boxes = [box for letter, box in found[at : at + len(start)] if letter in wanted]
    return [ink_height_mm(pdf, box) for box in boxes]


@pytest.mark.parametrize(
    ("stock", "min_mm"),
    [
        pytest.param(LETTER_30, "1.5875", id="16 CFR 500.21: panel up to 5 sq in, 1/16 in"),
        pytest.param(LETTER_10, "3.175", id="16 CFR 500.21 (from memory): over 5 to 25 sq in, 1/8 in"),
        pytest.param(A4_21, "1.5875", id="16 CFR 500.21: panel up to 5 sq in, on A4"),
    ],
)
def test_net_weight_reaches_the_us_height_on_its_small_o(stock, min_mm):
    pdf = label_sheet_pdf(_sheet(stock, replace(LABEL, net_weight_min_mm=Decimal(min_mm)), copies=1))
    assert min(_heights(pdf, "o", "4.25 oz")) >= float(min_mm)


@pytest.mark.parametrize(
    ("stock", "min_mm"),
    [
        pytest.param(LETTER_30, "0.79375", id="21 CFR 701.3(b): under 12 sq in in all, 1/32 in"),
        pytest.param(LETTER_10, "1.5875", id="21 CFR 701.3(b): 1/16 in"),
    ],
)
def test_ingredients_reach_their_height_on_the_small_letter(stock, min_mm):
    pdf = label_sheet_pdf(_sheet(stock, replace(LABEL, ingredients_min_mm=Decimal(min_mm)), copies=1))
    assert min(_heights(pdf, "aeo", "Ingredients: Olive")) >= float(min_mm)


def test_eu_quantity_reaches_its_height_on_the_figures():
    """Directive 76/211/EEC, Annex I 3.1 (from memory): over 50 g to 200 g, 3 mm."""
    face = replace(LABEL, net_weight="120 g", net_weight_min_mm=Decimal(3), net_weight_measure=LetterMeasure.FIGURES)
    assert min(_heights(label_sheet_pdf(_sheet(A4_21, face, copies=1)), "120", "120 g")) >= 3


def test_room_is_used_when_there_is_room():
    """Negative control of the legal minimum: on a large label the words grow beyond it."""
    sizes = {block.role: block.size_mm for block in fit_label(LABEL, LETTER_10).blocks}
    small = {block.role: block.size_mm for block in fit_label(LABEL, LETTER_30).blocks}
    assert sizes["product"] > 2 * small["product"]


def test_words_that_do_not_fit_are_refused_with_choices():
    face = replace(LABEL, ingredients_min_mm=Decimal("1.5875"))
    with pytest.raises(LabelDoesNotFit) as refusal:
        label_sheet_pdf(_sheet(LETTER_30, face))
    assert str(refusal.value) == (
        "These words do not fit on a label of 66.675 × 25.4 mm at the legal letter height. "
        "They fit on: US Letter, 10 labels of 4 × 2 in; Roll, one label of 4 × 2 in; "
        "US Letter, 5 bands of 8.1 × 2 in, to cut; US Letter, 8 tags of 2 × 5 in, to cut and punch. "
        "Or put the ingredient list on a second panel, or on a leaflet that goes with the bar."
    )
    assert len(refusal.value.choices) == 2


def test_a_single_word_wider_than_the_label_is_refused():
    with pytest.raises(LabelDoesNotFit, match="Or shorten the name and the wording"):
        label_sheet_pdf(_sheet(LETTER_30, replace(LABEL, product="W" * 60)))


def test_net_weight_keeps_clear_space_above_and_beside():
    """16 CFR 500.20 (from memory): one letter height above and below, twice the width of an N at the sides."""
    fitted = fit_label(LABEL, LETTER_30)
    net = next(block for block in fitted.blocks if block.role == "net-weight")
    above = [block for block in fitted.blocks if block.left_mm == net.left_mm and block.top_mm < net.top_mm]
    letter_mm = 0.692 * net.size_mm  # OS/2 table: capitals of the semibold cut
    assert net.top_mm - max(block.top_mm + block.height_mm for block in above) >= letter_mm


def test_start_position_and_copies_run_on_to_the_next_page():
    pdf = label_sheet_pdf(_sheet(LETTER_10, copies=12, start_position=8))
    expected = _expected("letter-10")
    assert [len(outlines(pdf, page)) for page in (0, 1)] == [3, 9]
    assert outlines(pdf)[0].top == pytest.approx(expected[7].top, abs=NEAR_MM)
    assert len(page_sizes_mm(pdf)) == 2


def test_a_full_sheet_leaves_no_empty_page():
    assert len(page_sizes_mm(label_sheet_pdf(_sheet(A4_21, copies=21)))) == 1


def test_a_roll_prints_one_label_a_page():
    assert len(page_sizes_mm(label_sheet_pdf(_sheet(ROLL_4X2, copies=3)))) == 3


def test_two_wordings_share_a_sheet():
    runs = (LabelRun(replace(LABEL, wording="For Ada and Noor"), 2), LabelRun(LABEL, 1))
    text = page_texts(label_sheet_pdf(LabelSheetPaper(stock=LETTER_10, runs=runs)))[0]
    assert (text.count("For Ada and Noor"), text.count("Dusk over")) == (2, 3)


def test_printer_offset_moves_every_label():
    plain = outlines(label_sheet_pdf(_sheet(LETTER_10, copies=4)))
    offset = {"offset_x_mm": Decimal("0.8"), "offset_y_mm": Decimal("-1.2")}
    moved = outlines(label_sheet_pdf(_sheet(LETTER_10, copies=4, **offset)))
    shifts = {(round(b.left - a.left, 2), round(b.top - a.top, 2)) for a, b in zip(plain, moved, strict=True)}
    assert shifts == {(0.8, -1.2)}


def test_outlines_are_for_trials_only():
    assert outlines(label_sheet_pdf(replace(_sheet(LETTER_30, copies=1), has_outlines=False))) == []


def test_qr_codes_read_back():
    face = replace(LABEL, qr_text="https://shop.example/b/41")
    assert codes(label_sheet_pdf(_sheet(LETTER_10, face)), scale=4) == ["https://shop.example/b/41"] * 10


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"start_position": 31}, "This sheet has labels 1 to 30"),
        ({"start_position": 0}, "This sheet has labels 1 to 30"),
        ({"copies": -1}, "Ask for at least one copy"),
        ({"copies": 601}, "Print 600 at a time"),
        ({"offset_x_mm": Decimal(11)}, "at most 10 mm"),
        ({"stock": replace(LETTER_30, left_mm=Decimal(12))}, "do not fit its page"),
        ({"stock": replace(LETTER_30, pitch_y_mm=Decimal(20))}, "do not fit its page"),
        ({"face": replace(LABEL, product="Dusk 🙂")}, "U\\+1F642 slightly smiling face"),
        ({"face": replace(LABEL, qr_text="x" * 301)}, "Use a shorter address"),
    ],
)
def test_sheet_is_refused_with_the_mend(changes, said):
    with pytest.raises(PaperRefused, match=said):
        label_sheet_pdf(_sheet(**changes))


def test_sheet_is_tagged_and_prints_unscaled():
    reader = pypdf.PdfReader(io.BytesIO(label_sheet_pdf(_sheet(LETTER_10, title="Labels, batch B-2026-041"))))
    catalog = reader.trailer["/Root"]
    assert (catalog["/Lang"], catalog["/ViewerPreferences"]["/PrintScaling"]) == ("en", "/None")
    assert reader.metadata.title == "Labels, batch B-2026-041"


def test_same_record_same_bytes():
    assert label_sheet_pdf(_sheet(A4_21, copies=4)) == label_sheet_pdf(_sheet(A4_21, copies=4))
