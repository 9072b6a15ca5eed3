"""Papers made beside the server: the same paper, refusals as sentences, and limits that end what runs away."""

import time
from dataclasses import replace

import pytest

from production.documents.label_sheet import label_sheet_pdf
from production.documents.label_stock import LETTER_10, LETTER_30
from production.documents.records import LabelRun, LabelSheetPaper
from soapshop import paper_press
from soapshop.paper import PaperRefused, PaperUnavailable
from soapshop.paper_press import Press
from tests.production.pdf_reading import page_texts
from tests.production.sample_papers import LABEL
from tests.soapshop import press_makers


@pytest.fixture(scope="module")
def press():
    one = Press()
    yield one
    one.close()


def test_the_paper_is_the_same_to_the_last_byte(press):
    paper = LabelSheetPaper(LETTER_10, (LabelRun(LABEL, 3),))
    assert press.print(label_sheet_pdf, paper) == label_sheet_pdf(paper)


def test_a_refusal_comes_back_as_its_sentence(press):
    paper = LabelSheetPaper(LETTER_30, (LabelRun(LABEL, 3),), start_position=31)
    with pytest.raises(PaperRefused) as here:
        label_sheet_pdf(paper)
    with pytest.raises(PaperRefused) as beside:
        press.print(label_sheet_pdf, paper)
    assert str(beside.value) == str(here.value)


def test_what_is_missing_on_the_machine_is_told_apart(press):
    with pytest.raises(PaperUnavailable, match="Install it"):
        press.print(press_makers.unavailable, "Install it")


def test_a_paper_that_never_ends_is_stopped_and_the_next_one_is_printed(press):
    begun = time.monotonic()
    with pytest.raises(PaperRefused, match="took longer than 2 seconds"):
        press.print(press_makers.endless, None, seconds=2)
    assert time.monotonic() - begun < 30
    assert press.print(press_makers.echo, b"next") == b"next"


def test_a_paper_that_eats_memory_is_stopped_and_the_next_one_is_printed(press):
    with pytest.raises(PaperRefused, match="more memory than a paper may have"):
        press.print(press_makers.greedy, paper_press.MOST_MEMORY_BYTES)
    assert press.print(press_makers.echo, b"next") == b"next"


def test_a_process_that_dies_is_a_sentence_and_the_next_one_is_printed(press):
    with pytest.raises(PaperRefused):
        press.print(press_makers.dying, None)
    assert press.print(press_makers.echo, b"next") == b"next"


def test_a_process_that_has_grown_gives_its_memory_back():
    one = Press()
    try:
        assert one.print(press_makers.grown, paper_press.GROWN_BYTES + 50_000_000) == b"grown"
        assert one.is_running is False
        assert one.print(press_makers.echo, b"small") == b"small"
        assert one.is_running is True
    finally:
        one.close()


def test_a_long_run_of_labels_is_one_paper(press):
    paper = LabelSheetPaper(LETTER_10, (LabelRun(replace(LABEL, qr_text="B-2026-041"), 20),))
    assert len(page_texts(press.print(label_sheet_pdf, paper))) == 2
