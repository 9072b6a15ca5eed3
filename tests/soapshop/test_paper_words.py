from dataclasses import dataclass
from decimal import Decimal

import pytest

from soapshop.paper import PaperRefused
from soapshop.paper_words import exact_words, plain_words


@dataclass(frozen=True)
class Line:
    name: str
    grams: Decimal = Decimal("1.50")


@dataclass(frozen=True)
class Card:
    title: str
    lines: tuple[Line, ...] = ()


def test_letters_that_cannot_be_drawn_are_written_as_their_code_at_every_depth():
    card = Card("Bar 🙂", (Line("Olive\x07"), Line("Straße")))
    assert plain_words(card) == Card("Bar [U+1F642]", (Line("Olive[U+0007]"), Line("Straße")))


def test_line_breaks_and_hyphens_become_plain():
    assert plain_words(Card("one\ntwo\tthree\u2011four\u200b")) == Card("one two three-four")


def test_letters_typed_in_two_parts_are_joined():
    assert plain_words(Card("Cre\u0300me")) == Card("Crème")


def test_exact_words_refuse_and_name_the_letter():
    with pytest.raises(PaperRefused, match="U\\+1F642 slightly smiling face"):
        exact_words(Card("Bar", (Line("🙂"),)))


def test_exact_words_leave_ordinary_words_alone():
    card = Card("Crème de Rose", (Line("½ lb"),))
    assert exact_words(card) == card


@pytest.mark.parametrize("change", [plain_words, exact_words])
def test_a_text_of_5000_letters_is_refused_with_its_start(change):
    with pytest.raises(PaperRefused) as refusal:
        change(Card("Lavender " * 556))
    assert str(refusal.value) == (
        "The text “Lavender Lavender Lavender Lav…” has 5,004 letters; this paper holds 600 in one place. "
        "Shorten it, then print again."
    )


def test_a_text_of_just_600_letters_passes():
    assert plain_words(Card("x" * 600)) == Card("x" * 600)
