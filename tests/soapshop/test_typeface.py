"""Measures of the printed typeface against the font files, read here on their own."""

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont

from soapshop.typeface import (
    Face,
    balanced_lines,
    font_path,
    letter_name,
    missing_letters,
    spelled_out,
    typeface,
    wrapped_lines,
)


def _top(face: Face, letter: str) -> float:
    font = TTFont(font_path(face))
    glyphs = font.getGlyphSet()
    pen = BoundsPen(glyphs)
    glyphs[font.getBestCmap()[ord(letter)]].draw(pen)
    return pen.bounds[3] / font["head"].unitsPerEm


@pytest.mark.parametrize("face", list(Face))
def test_heights_are_never_taller_than_the_drawn_letters(face):
    cut = typeface(face)
    assert cut.letters_height("SOAP 4 OZ") <= min(_top(face, letter) for letter in "SOAPZ")
    assert cut.letters_height("Soap") <= min(_top(face, letter) for letter in "oa")
    assert cut.figures_height("120 g") <= min(_top(face, letter) for letter in "120")


def test_capitals_count_only_while_no_small_letter_is_used():
    cut = typeface(Face.REGULAR)
    assert (cut.letters_height("NET WT"), cut.letters_height("NET Wt")) == (0.689, 0.527)  # OS/2 table of the file


def test_width_is_the_sum_of_the_advances():
    # hmtx of the file: 558 + 433 + 495 thousandths for 0, 1, 2
    assert typeface(Face.REGULAR).width_mm("012", size_mm=10) == pytest.approx(14.86)


def test_lines_are_as_full_as_the_width_allows():
    # with 10 mm per em each of "0" is 5.58 mm and a space 2.65 mm: two groups of one need 13.81 mm
    assert wrapped_lines("0 0 0", face=Face.REGULAR, size_mm=10, width_mm=13.82) == ("0 0", "0")
    assert wrapped_lines("0 0 0", face=Face.REGULAR, size_mm=10, width_mm=13.80) == ("0", "0", "0")


def test_a_word_wider_than_the_line_does_not_fit():
    assert wrapped_lines("0 000", face=Face.REGULAR, size_mm=10, width_mm=12) is None


def test_hard_spaces_are_not_broken():
    assert wrapped_lines("0 0\u00a00", face=Face.REGULAR, size_mm=10, width_mm=15) == ("0", "0\u00a00")


def test_balanced_lines_leave_no_last_word_alone():
    text, room = "0 0 0 0", {"face": Face.REGULAR, "size_mm": 10, "width_mm": 23.0}
    assert wrapped_lines(text, **room) == ("0 0 0", "0")
    assert balanced_lines(text, **room) == ("0 0", "0 0")


def test_missing_letters_are_given_once_in_order():
    assert missing_letters("soap 🙂 and א and 🙂") == ("🙂", "א")


def test_nothing_is_missing_in_ordinary_words():
    assert missing_letters("Net Wt 4.25 oz (120 g), “Crème” ≥ ½") == ()


def test_letter_name_and_code():
    assert letter_name("🙂") == "🙂 (U+1F642 slightly smiling face)"
    assert spelled_out("a🙂b\u202ec") == "a[U+1F642]b[U+202E]c"
