"""The batch ticket read back from its PDF. The 32 items of a ticket follow 21 CFR 211.188 and ISO 22716, 7.2."""

import io
from dataclasses import replace
from decimal import Decimal

import pypdf
import pytest

from production.documents.batch_ticket import batch_ticket_pdf
from production.documents.records import CurePlan, EmergencyFooter, ProcessStep
from soapshop.paper import PaperRefused
from tests.production.pdf_reading import codes, letters, page_sizes_mm, page_texts
from tests.production.sample_papers import LONG_TICKET, PORTIONS, STEPS, TICKET, WEIGHINGS

LETTER_MM = (215.9, 279.4)  # ANSI Y14.1
A4_MM = (210.0, 297.0)  # ISO 216


@pytest.fixture(scope="module")
def ticket() -> bytes:
    return batch_ticket_pdf(TICKET)


@pytest.fixture(scope="module")
def long_ticket() -> bytes:
    return batch_ticket_pdf(LONG_TICKET)


@pytest.mark.parametrize(("paper_size", "expected"), [("letter", LETTER_MM), ("a4", A4_MM)])
def test_ordinary_ticket_takes_one_page(paper_size, expected):
    """12 weighings, 5 portions, 9 steps, 3 parts."""
    sizes = page_sizes_mm(batch_ticket_pdf(replace(TICKET, paper_size=paper_size)))
    assert [(round(width, 1), round(height, 1)) for width, height in sizes] == [expected]


def test_wordier_ticket_still_takes_one_page_with_less_air():
    steps = tuple(replace(step, text=f"{step.text} Keep the note by the pot.") for step in STEPS)
    assert len(page_sizes_mm(batch_ticket_pdf(replace(TICKET, steps=steps)))) == 1


@pytest.mark.parametrize("line", WEIGHINGS, ids=lambda line: f"{line.step} {line.material}")
def test_each_weighing_is_on_paper(ticket, line):
    text = page_texts(ticket)[0]
    shown = [line.material, f"{line.planned_grams:,}", f"{line.accept_from_grams:,} – {line.accept_to_grams:,}"]
    assert [part for part in (*shown, line.lot_code) if part not in text] == []


@pytest.mark.parametrize("step", STEPS, ids=lambda step: f"step {step.number}")
def test_each_step_is_on_paper_with_its_target_and_cautions(ticket, step):
    text = page_texts(ticket)[0]
    assert [part for part in (step.text, step.target, *step.cautions) if part not in text] == []


def test_a_caution_stands_right_under_its_step(ticket):
    text = page_texts(ticket)[0]
    lye, caution, following = (
        text.index(part) for part in ("Stir the lye", "never liquid onto lye", "Melt the butters")
    )
    assert lye < caution < following


@pytest.mark.parametrize("jug", PORTIONS, ids=lambda jug: jug.name)
def test_each_portion_is_on_paper_with_its_colors(ticket, jug):
    text = page_texts(ticket)[0]
    colors = [f"{color.name} {color.grams} g" for color in jug.colors]
    assert [part for part in (jug.name, f"{jug.grams:,} g", jug.pour_order, *colors) if part not in text] == []


@pytest.mark.parametrize(
    "words",
    [
        "B-2026-041",
        "Dusk over Harbor Hill",
        "HH-04 rev. 3",
        "approved Oct 2, 2026",
        "5,000 g",
        "7,509.4 g",
        "48 bars",
        "Slab no. 2, 48 bars",
        "orders 1042, 1047, 1051",
        "printed Nov 24, 2026, 14:05 by Mara",
        "copy no. 2",
        "Goggles, gloves, apron on",
        "Equipment pot 2, slab mold no. 2, stick blender, scale S1",
        "26 Pressed sprig topper, 2 spare, lot TP-011",
        "Batter temperature at pour 35 to 40 °C",
        "Bars cut 48",
        "Pour day Nov 25, 2026",
        "Ready from Dec 23, 2026",
        "Dec 2, Dec 9, Dec 16",
        "Alkali (phenolphthalein)",
        "released held rejected",
        "What was odd",
        "tap by the back door",
        "1-800-222-1222",
        "sheet 1 of 1",
    ],
)
def test_ticket_says(ticket, words):
    assert words in page_texts(ticket)[0]


def test_qr_code_reads_back(ticket):
    assert codes(ticket) == ["https://shop.example/batches/41/"]


def test_qr_code_falls_back_to_the_batch_number():
    assert codes(batch_ticket_pdf(replace(TICKET, scan_text=""))) == ["B-2026-041"]


def test_every_page_carries_batch_number_page_count_and_emergency_line(long_ticket):
    texts = page_texts(long_ticket)
    marks = [f"Batch B-2026-041 sheet {number} of {len(texts)}" for number in range(1, len(texts) + 1)]
    assert [mark for mark, text in zip(marks, texts, strict=True) if mark not in text] == []
    assert [text.count("1-800-222-1222") for text in texts] == [1] * len(texts)


def test_long_ticket_prints_each_row_once_and_repeats_the_heading(long_ticket):
    texts = page_texts(long_ticket)
    whole = " ".join(texts)
    assert len(texts) == 3
    assert [whole.count(f"{turn}.2 Sodium hydroxide") for turn in (1, 2, 3)] == [1, 1, 1]
    assert [text.count("Accept from – to, g") for text in texts] == [1, 1, 0]


def test_no_row_is_split_over_two_pages():
    """36 steps of several lines: the first and last words of each stand on the same page."""
    steps = tuple(ProcessStep(n, f"begin{n}x " + "stir the pot and look again " * 9 + f"end{n}x") for n in range(1, 37))
    texts = page_texts(batch_ticket_pdf(replace(TICKET, steps=steps)))
    pages = [
        [page for page, text in enumerate(texts) if f"{word}{n}x" in text]
        for n in range(1, 37)
        for word in ("begin", "end")
    ]
    assert len(texts) > 2
    assert pages[::2] == pages[1::2]


def test_all_print_lies_inside_the_page_margins(ticket):
    boxes = [box for text, box in letters(ticket) if text.strip()]
    assert min(box.left for box in boxes) > 9
    assert max(box.left + box.width for box in boxes) < 215.9 - 9


def test_notice_of_a_superseded_formula_is_large():
    pdf = batch_ticket_pdf(replace(TICKET, notices=("Superseded: do not make from this ticket.",)))
    assert "Superseded: do not make from this ticket." in page_texts(pdf)[0]


def test_ticket_without_extras_still_prints():
    bare = replace(
        TICKET,
        portions=(),
        drawing=None,
        parts=(),
        before_start=(),
        in_process_checks=(),
        yield_points=(),
        release_checks=(),
        order_numbers=(),
        formula_approved_date=None,
        cure=CurePlan(),
        emergency=EmergencyFooter(),
        copy_number=1,
    )
    text = page_texts(batch_ticket_pdf(bare))[0]
    assert ["not approved" in text, "stock, no order" in text, "copy" in text] == [True, True, False]


def test_ticket_is_tagged_and_named():
    reader = pypdf.PdfReader(io.BytesIO(batch_ticket_pdf(replace(TICKET, language="de"))))
    catalog = reader.trailer["/Root"]
    assert catalog["/Lang"] == "de"
    assert catalog["/StructTreeRoot"]["/Type"] == "/StructTreeRoot"
    assert reader.metadata.title == "Batch ticket B-2026-041: Dusk over Harbor Hill"


def test_same_record_same_bytes(ticket):
    assert batch_ticket_pdf(TICKET) == ticket


def test_short_ticket_uses_the_room_for_larger_type():
    short = replace(TICKET, weighings=WEIGHINGS[:4], steps=STEPS[:4], portions=())
    tops = {name: _size_of(batch_ticket_pdf(paper), "1,497") for name, paper in (("short", short), ("full", TICKET))}
    assert tops["short"] > 1.2 * tops["full"]


def _size_of(pdf: bytes, words: str) -> float:
    found = letters(pdf)
    at = "".join(letter for letter, _ in found).index(words)
    return found[at][1].height


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"emergency": EmergencyFooter("tap " * 100, "911", "1-800-222-1222")}, "the foot of a ticket holds 420"),
        ({"batch_number": "B" * 61}, "A batch number may have 60 letters"),
    ],
)
def test_words_that_would_run_off_the_foot_are_refused(changes, said):
    with pytest.raises(PaperRefused, match=said):
        batch_ticket_pdf(replace(TICKET, **changes))


def test_a_long_foot_stays_on_the_paper():
    emergency = EmergencyFooter(
        "sink by the garden door, second left after the drying racks" * 2, "911" * 20, "1-800" * 40
    )
    pdf = batch_ticket_pdf(replace(TICKET, emergency=emergency))
    boxes = [box for text, box in letters(pdf) if text.strip()]
    assert max(box.top + box.height for box in boxes) < 279.4


def test_unknown_paper_size_is_refused():
    with pytest.raises(PaperRefused, match="Choose letter or a4"):
        batch_ticket_pdf(replace(TICKET, paper_size="legal"))


def test_a_figure_is_printed_as_it_stands():
    line = replace(WEIGHINGS[0], planned_grams=Decimal("1497.0"))
    assert "1,497.0" in page_texts(batch_ticket_pdf(replace(TICKET, weighings=(line,))))[0]
