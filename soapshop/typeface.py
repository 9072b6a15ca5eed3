"""The two printed typefaces and what they measure, read from the font files themselves.

Lengths of letters are floats in millimeters; a size is the height of the em square.
"""

import importlib.util
import unicodedata
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from pathlib import Path


class Face(StrEnum):
    """The cuts that papers use: static files, a variable font is twice as slow and puts the hour in the PDF."""

    REGULAR = "FiraSans-Regular.ttf"
    SEMIBOLD = "FiraSans-SemiBold.ttf"
    CONDENSED = "FiraSansCondensed-Regular.ttf"
    CONDENSED_SEMIBOLD = "FiraSansCondensed-SemiBold.ttf"


FONT_PACKAGES = ("fontpkg_fira_sans", "fontpkg_fira_sans_condensed")
# Drawn the same as a letter that the typeface has.
STAND_INS = {"\u2010": "-", "\u2011": "-", "\u2009": "\u00a0", "\u202f": "\u00a0", "\u2007": "\u00a0"}
DROPPED = "\u200b\u200c\u200d\u2060\ufeff\ufe0e\ufe0f"  # take no room and show nothing
KNOWN_SPACES = " \u00a0"


class TypefaceMissing(Exception):
    """A font file is not where its package puts it."""


@dataclass(frozen=True, slots=True)
class Typeface:
    """Advance widths and heights of one cut, in thousandths of its size or whatever unit the file uses."""

    face: Face
    units_per_em: int
    advances: dict[str, int]
    tops: dict[str, int]
    capital_height: int
    small_height: int  # flat small letters; the round "o" is drawn a little taller

    def width_mm(self, text: str, *, size_mm: float) -> float:
        """Width without kerning; letters the cut lacks count as a full em."""
        units = sum(self.advances.get(letter, self.units_per_em) for letter in text)
        return units / self.units_per_em * size_mm

    def letters_height(self, text: str) -> float:
        """Height a letter rule counts, in ems: of capitals, or of the small "o" as soon as one small letter is used."""
        has_small = any(letter.islower() for letter in text)
        return (self.small_height if has_small else self.capital_height) / self.units_per_em

    def figures_height(self, text: str) -> float:
        """Height of the lowest figure in the text, in ems; of a capital when it has none."""
        figures = [self.tops[letter] for letter in text if letter.isdigit() and letter in self.tops]
        return min(figures, default=self.capital_height) / self.units_per_em


@cache
def font_path(face: Face) -> Path:
    """Where the installed package keeps this file."""
    for package in FONT_PACKAGES:
        spec = importlib.util.find_spec(package)
        for folder in (spec.submodule_search_locations or ()) if spec else ():
            path = Path(folder) / "files" / face.value
            if path.is_file():
                return path
    raise TypefaceMissing(f"The font file {face.value} is missing. Install the packages again, then print once more.")


@cache
def typeface(face: Face) -> Typeface:
    """Read once per process, about 30 ms."""
    from fontTools.ttLib import TTFont  # here, because only papers need it

    with TTFont(font_path(face), lazy=True) as font:
        cmap, metrics, glyphs = font.getBestCmap(), font["hmtx"], font["glyf"]
        return Typeface(
            face=face,
            units_per_em=font["head"].unitsPerEm,
            advances={chr(code): metrics[name][0] for code, name in cmap.items()},
            tops={chr(code): getattr(glyphs[cmap[code]], "yMax", 0) for code in range(0x30, 0x3A)},
            capital_height=font["OS/2"].sCapHeight,
            small_height=font["OS/2"].sxHeight,
        )


def settled_text(text: str) -> str:
    """Composed letters, plain spaces, stand-ins: the text as it will be drawn."""
    composed = unicodedata.normalize("NFC", text)
    return "".join(
        " " if letter in "\t\n\r\f\v\u2028\u2029" else STAND_INS.get(letter, letter)
        for letter in composed
        if letter not in DROPPED
    )


def is_printable(letter: str) -> bool:
    """Whether every cut can draw it. Signs that steer the text (line direction and the like) never print."""
    if letter in KNOWN_SPACES:
        return True
    if unicodedata.category(letter) in ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"):
        return letter == "\u00ad"
    return all(letter in typeface(face).advances for face in Face)


def missing_letters(text: str) -> tuple[str, ...]:
    """The letters that the typefaces cannot draw, each once, in order of appearance."""
    return tuple(letter for letter in dict.fromkeys(settled_text(text)) if not is_printable(letter))


def letter_name(letter: str) -> str:
    """How a person finds the letter again: "🙂 (U+1F642 slightly smiling face)"."""
    code = f"U+{ord(letter):04X}"
    name = unicodedata.name(letter, "").lower()
    shown = f"{letter} " if letter.isprintable() and not unicodedata.combining(letter) else ""
    return f"{shown}({code} {name})" if name else f"{shown}({code})"


def spelled_out(text: str) -> str:
    """The text with every letter that cannot be drawn written as its code, "[U+1F642]"."""
    return "".join(letter if is_printable(letter) else f"[U+{ord(letter):04X}]" for letter in settled_text(text))


def wrapped_lines(text: str, *, face: Face, size_mm: float, width_mm: float) -> tuple[str, ...] | None:
    """Greedy lines no wider than the given width; None when one word alone is wider."""
    measure = typeface(face)
    lines: list[str] = []
    line = ""
    for word in settled_text(text).split(" "):
        longer = f"{line} {word}" if line else word
        if measure.width_mm(longer, size_mm=size_mm) <= width_mm:
            line = longer
            continue
        if line:
            lines.append(line)
        if measure.width_mm(word, size_mm=size_mm) > width_mm:
            return None
        line = word
    return (*lines, line) if line else tuple(lines)


def balanced_lines(text: str, *, face: Face, size_mm: float, width_mm: float) -> tuple[str, ...] | None:
    """As few lines as the width asks for, and these as even as can be: no last word alone on its line."""
    best = wrapped_lines(text, face=face, size_mm=size_mm, width_mm=width_mm)
    if best is None or len(best) < 2:
        return best
    low, high = width_mm / len(best), width_mm
    for _ in range(6):
        middle = (low + high) / 2
        lines = wrapped_lines(text, face=face, size_mm=size_mm, width_mm=middle)
        if lines is not None and len(lines) == len(best):
            best, high = lines, middle
        else:
            low = middle
    return best
