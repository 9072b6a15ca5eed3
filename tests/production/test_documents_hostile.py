"""Hostile words in every field of a label: printed as words or refused with a sentence, never acted on."""

from dataclasses import fields, is_dataclass, replace

import pytest

from production.documents.batch_ticket import batch_ticket_pdf
from production.documents.label_sheet import label_sheet_pdf
from production.documents.label_stock import LETTER_10
from production.documents.records import LabelRun, LabelSheetPaper, LabelStock
from soapshop.paper import PaperRefused
from tests.production.pdf_reading import page_texts
from tests.production.sample_papers import LABEL, TICKET

CHOSEN_FROM_A_LIST = {"accent_hex", "color_hex", "currency", "language", "net_weight_measure", "paper_size"}
# every kind of field once, few rows: each text is tried on each paper
SHORT_TICKET = replace(
    TICKET,
    weighings=TICKET.weighings[1:3],
    portions=TICKET.portions[3:4],
    steps=TICKET.steps[:1],
    parts=TICKET.parts[:1],
)
LABELS = LabelSheetPaper(stock=LETTER_10, runs=(LabelRun(LABEL, 1),))
MARKUP = [
    "<b>bold</b>",
    "</p></td></table><script>alert(1)</script>",
    '<img src="http://127.0.0.1:{port}/a.png">',
    '"><link rel="attachment" href="file:///etc/hostname">',
    "<svg><image href='http://127.0.0.1:{port}/b.svg'/></svg>",
    "url(http://127.0.0.1:{port}/c.png)",
    "}} @import url(http://127.0.0.1:{port}/d.css);",
    "http://127.0.0.1:{port}/e",
    "file:///etc/hostname",
    "../../../etc/hostname",
    "static:FiraSans-Regular.ttf",
    "{{ paper.printed_by }} {% include 'x' %}",
    "&lt;i&gt; &amp; &#65;",
    "'; DROP TABLE soap; --",
]


def with_words(thing, words, name=""):
    """The same record with every free text replaced."""
    if isinstance(thing, str):
        return thing if name in CHOSEN_FROM_A_LIST else words
    if isinstance(thing, tuple):
        return tuple(with_words(part, words, name) for part in thing)
    if is_dataclass(thing) and not isinstance(thing, LabelStock):
        return replace(thing, **{f.name: with_words(getattr(thing, f.name), words, f.name) for f in fields(thing)})
    return thing


def printed_words(pdf: bytes) -> str:
    """Words without spaces: a long one may be broken anywhere."""
    return "".join(" ".join(page_texts(pdf)).split())


@pytest.mark.parametrize("words", MARKUP)
def test_markup_and_references_are_printed_as_words_on_labels(listener, words):
    port, calls = listener
    words = words.replace("{port}", str(port))
    assert "".join(words.split()) in printed_words(label_sheet_pdf(with_words(LABELS, words)))
    assert calls == []


@pytest.mark.parametrize("words", ["Soap 🙂", "Soap \u202eevil", "סבון", "Soap\x00"])
def test_labels_refuse_letters_they_lack(words):
    with pytest.raises(PaperRefused, match="The printed typeface has no sign for"):
        label_sheet_pdf(with_words(LABELS, words))


def test_a_long_word_without_a_break_is_printed_whole():
    """200 letters in one field, wider than any column."""
    words = "".join(f"{number:03d}" for number in range(67))
    pdf = batch_ticket_pdf(replace(SHORT_TICKET, product=words, weighings=with_words(SHORT_TICKET.weighings, words)))
    # the product, then phase, step, material, lot and note twice; a phase is named in its first row only
    assert printed_words(pdf).count(words) == 1 + 5 + 4
