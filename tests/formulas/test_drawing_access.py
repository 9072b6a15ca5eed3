"""The drawing for everybody: title and description, never by color alone, readable in black and white.

Role, title and description: W3C, SVG Accessibility API Mappings 1.0; 4.5 to 1: W3C, Web Content Accessibility
Guidelines 2.2, contrast (minimum); "not by color alone" is its success criterion 1.4.1.
"""

import xml.etree.ElementTree as ElementTree
from decimal import Decimal as D
from itertools import pairwise

import pytest

from formulas.drawing import DrawnBar, DrawnCell, DrawnPart, DrawnRow, DrawnSwirl, bar_cross_section_svg
from formulas.drawing.bar_records import bar_in_words, legend_lines
from formulas.drawing.inks import contrast
from formulas.drawing.patterns import pattern_names

SVG = "{http://www.w3.org/2000/svg}"
ALIKE = "#808080"  # one gray for every jug: only letters and patterns are left
QUARRY = DrawnBar(
    "Quarry",
    D(85),
    D(63),
    (
        DrawnRow(D(2), (DrawnCell("A", "#e8dfc8", name="sand"),)),
        DrawnRow(
            D(1),
            (
                DrawnCell("B", "#2f5d3a", name="fern"),
                DrawnCell("C", "#5b2a4e", D(2), "plum"),
                DrawnCell("D", "#a4512f"),
            ),
            (DrawnSwirl("F", "#f4f0e6", D(12), "milk"),),
        ),
        DrawnRow(D(1), (DrawnCell("E", "#101418", name="slate"),)),
    ),
    drops=(DrawnSwirl("G", "#d6b24c", D(5), "gold"),),
    parts=(DrawnPart("topper", "Shell", "#efe3d0", "5 of 12 bars"), DrawnPart("seal", "Knot", "#b98b4e")),
    is_beveled=True,
)
GRAY = DrawnBar(
    "Gray quarry",
    QUARRY.width_mm,
    QUARRY.height_mm,
    tuple(
        DrawnRow(
            row.height,
            tuple(DrawnCell(cell.letter, ALIKE, cell.width, cell.name) for cell in row.cells),
            tuple(DrawnSwirl(swirl.letter, ALIKE, swirl.percent, swirl.name) for swirl in row.swirls),
        )
        for row in QUARRY.rows
    ),
    drops=tuple(DrawnSwirl(drop.letter, ALIKE, drop.percent, drop.name) for drop in QUARRY.drops),
)
LARGE_SMALL = pytest.mark.parametrize("is_small", (False, True), ids=("large", "small"))
BARS = pytest.mark.parametrize("bar", (QUARRY, GRAY), ids=lambda bar: bar.title)


def drawn(bar: DrawnBar, *, is_small: bool) -> ElementTree.Element:
    return ElementTree.fromstring(bar_cross_section_svg(bar, is_small=is_small))


@BARS
@LARGE_SMALL
def test_it_is_one_picture_with_a_title_and_a_description(bar: DrawnBar, is_small: bool):
    root = drawn(bar, is_small=is_small)
    assert root.attrib["role"] == "img"
    assert [child.tag for child in root][:2] == [f"{SVG}title", f"{SVG}desc"]
    assert (root[0].text, root[1].text) == (bar.title, bar_in_words(bar))
    assert root.attrib["aria-label"] == f"{bar.title}. {bar_in_words(bar)}"


def test_the_description_names_every_jug_and_every_part_with_its_bars():
    words = bar_in_words(QUARRY)
    for line in legend_lines(QUARRY):
        assert f"{line.letter} {line.name}".strip() in words
    for part in QUARRY.parts:
        assert f"{part.name} on {part.on_bars}" in words


@BARS
@LARGE_SMALL
def test_every_jug_is_told_by_its_letter_on_a_ground_it_stands_out_from(bar: DrawnBar, is_small: bool):
    marks = [
        (text.text, rect.attrib["fill"], text.attrib["fill"])
        for group in drawn(bar, is_small=is_small).iter(f"{SVG}g")
        for rect, text in pairwise(group)
        if rect.tag == f"{SVG}rect" and text.tag == f"{SVG}text"
    ]
    assert {letter for letter, _, _ in marks} == set("ABCDEFG")
    assert [letter for letter, ground, ink in marks if contrast(ground, ink) < 4.5] == []


@BARS
@LARGE_SMALL
def test_every_area_has_a_pattern_of_its_own_jug(bar: DrawnBar, is_small: bool):
    root = drawn(bar, is_small=is_small)
    tiles = {
        tile.attrib["id"]: ElementTree.tostring(tile[0]) if len(tile) else b"" for tile in root.iter(f"{SVG}pattern")
    }
    assert len(tiles) == len(set(tiles.values())) == 7
    laid = {shape.attrib["fill"] for shape in root.iter() if shape.attrib.get("fill", "").startswith("url(#")}
    assert laid == {f"url(#{tile})" for tile in tiles}


@BARS
def test_each_pattern_stands_out_in_gray(bar: DrawnBar):
    """2 to 1 between pattern and ground: own choice, about what a laser printer keeps apart."""
    colors = {line.letter: line.color_hex for line in legend_lines(bar)}
    names = pattern_names(tuple(colors))
    root = drawn(bar, is_small=False)
    for letter, color in colors.items():
        tile = next(tile for tile in root.iter(f"{SVG}pattern") if tile.attrib["id"] == f"bar-{ord(letter)}")
        inks = {mark.attrib["stroke"] for mark in tile}
        assert bool(inks) is (names[letter] != "plain")
        assert [ink for ink in inks if contrast(ink, color) < 2] == []


def test_a_part_on_some_bars_is_told_by_its_edge_not_by_its_color():
    dashed = [shape for shape in drawn(QUARRY, is_small=False).iter() if "stroke-dasharray" in shape.attrib]
    assert {shape.attrib["fill"] for shape in dashed} >= {"#efe3d0"}
    assert "#b98b4e" not in {shape.attrib["fill"] for shape in dashed}
