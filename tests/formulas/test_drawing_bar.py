"""The picture of a bar: areas measured again from the drawn outlines, letters that can be read, words that are safe."""

import re
from decimal import Decimal
from xml.etree import ElementTree

import pytest
from django.utils.html import conditional_escape
from hypothesis import given
from hypothesis import strategies as st

from formulas.drawing import DrawnBar, DrawnCell, DrawnPart, DrawnRow, DrawnSwirl, bar_cross_section_svg
from formulas.drawing.inks import contrast, hex_or_plain, letter_ink, luminance, pattern_ink
from formulas.drawing.patterns import PATTERNS, pattern_names

D = Decimal
SVG = "{http://www.w3.org/2000/svg}"
HILLSIDE = DrawnBar(
    "Hillside",
    D(80),
    D(60),
    (
        DrawnRow(D(25), (DrawnCell("A", "#3a6f8f", name="river blue"),)),
        DrawnRow(
            D(15),
            (
                DrawnCell("B", "#5f7f45", D(1), "moss"),
                DrawnCell("C", "#f4efe2", D(2), "cream"),
                DrawnCell("D", "#b97a66", D(1), "clay"),
            ),
        ),
        DrawnRow(D(20), (DrawnCell("E", "#6b5687", name="dusk"),)),
    ),
    parts=(DrawnPart("topper", "leaf", "#8aa65a", "5 of 12 bars"), DrawnPart("seal", "round seal", "#c9a227")),
)
SWIRLED = DrawnBar(
    "Eddies",
    D(90),
    D(60),
    (
        DrawnRow(
            D(1), (DrawnCell("A", "#f2ead6"),), (DrawnSwirl("B", "#2b2b2b", D(18)), DrawnSwirl("C", "#d9a441", D(12)))
        ),
        DrawnRow(D(1), (DrawnCell("D", "#dfe7e3"),)),
    ),
    drops=(DrawnSwirl("E", "#1d7f7a", D(4)),),
)
colors = st.integers(0, 0xFFFFFF).map(lambda number: f"#{number:06x}")


def tree(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def letters_of(svg: str) -> list[str]:
    return [text.text for text in tree(svg).iter(f"{SVG}text")]


def area_of(path: str) -> float:
    """Shoelace formula over the corner points of a straight-lined outline."""
    numbers = [float(number) for number in re.findall(r"-?\d+\.?\d*", path)]
    points = list(zip(numbers[::2], numbers[1::2], strict=True))
    ring = zip(points, points[1:] + points[:1], strict=True)
    return abs(sum(x * next_y - next_x * y for (x, y), (next_x, next_y) in ring)) / 2


def patterned_areas(svg: str) -> list[float]:
    """Return the areas under a pattern, in the order they are drawn."""
    (group,) = [group for group in tree(svg).iter(f"{SVG}g") if "clip-path" in group.attrib]
    filled = [shape for shape in group if shape.attrib.get("fill", "").startswith("url(")]
    return [
        area_of(shape.attrib["d"]) if "d" in shape.attrib else 3.14159265 * float(shape.attrib["r"]) ** 2
        for shape in filled
    ]


class TestAreas:
    def test_layers_and_cells(self):
        """Shares by hand: 25, 15 (1 : 2 : 1) and 20 of 60; wavy edges move a cell by less than one part in 300."""
        areas = patterned_areas(bar_cross_section_svg(HILLSIDE))
        shares = [area / (320 * 240) for area in areas]
        assert shares == pytest.approx([25 / 60, 15 / 240, 30 / 240, 15 / 240, 20 / 60], abs=1 / 300)
        assert sum(shares) == pytest.approx(1, abs=1e-4)

    def test_ribbons_are_as_large_as_their_percent(self):
        """Worked by hand: 18 and 12 percent of half a bar of 320 × 213.33 units."""
        layer = 320 * 320 * 60 / 90 / 2
        first, ribbon, second_ribbon = patterned_areas(bar_cross_section_svg(SWIRLED))[:3]
        assert (first, ribbon, second_ribbon) == pytest.approx((layer, 0.18 * layer, 0.12 * layer), rel=0.002)

    def test_drops_add_up_to_their_percent(self):
        drops = patterned_areas(bar_cross_section_svg(SWIRLED))[4:]
        assert sum(drops) == pytest.approx(0.04 * 320 * 320 * 60 / 90, rel=0.005)


class TestReading:
    def test_every_jug_has_its_letter(self):
        assert sorted(letters_of(bar_cross_section_svg(HILLSIDE))) == ["A", "B", "C", "D", "E"]
        assert sorted(letters_of(bar_cross_section_svg(HILLSIDE, is_small=True))) == ["A", "B", "C", "D", "E"]

    def test_title_description_and_role(self):
        root = tree(bar_cross_section_svg(HILLSIDE))
        assert (root.attrib["role"], root.find(f"{SVG}title").text) == ("img", "Hillside")
        assert root.find(f"{SVG}desc").text == (
            "Cut face from the bottom up. Layer 1 of 3, 42 percent of the height: A river blue. "
            "Layer 2 of 3, 25 percent of the height: from the left B moss, C cream, D clay. "
            "Layer 3 of 3, 33 percent of the height: E dusk. "
            "Topper leaf on 5 of 12 bars. Seal round seal on every bar."
        )

    def test_swirls_and_drops_in_words(self):
        text = tree(bar_cross_section_svg(SWIRLED)).find(f"{SVG}desc").text
        assert text == (
            "Cut face from the bottom up. "
            "Layer 1 of 2, 50 percent of the height: A, swirled with B 18 percent, swirled with C 12 percent. "
            "Layer 2 of 2, 50 percent of the height: D. Drops of E, 4 percent."
        )

    def test_part_on_some_bars_has_a_dashed_edge(self):
        svg = bar_cross_section_svg(HILLSIDE)
        dashed = [shape.attrib["fill"] for shape in tree(svg).iter() if "stroke-dasharray" in shape.attrib]
        assert dashed[0] == "#8aa65a"
        assert "#c9a227" not in dashed

    def test_legend_names_jugs_and_parts(self):
        texts = letters_of(bar_cross_section_svg(HILLSIDE, has_legend=True))
        assert texts[5:] == [
            *("A", "river blue", "B", "moss", "C", "cream", "D", "clay", "E", "dusk"),
            *("leaf, 5 of 12 bars", "round seal, every bar"),
        ]

    @given(colors)
    def test_letter_can_be_read_on_any_color(self, color):
        """4.5 to 1: W3C, Web Content Accessibility Guidelines 2.2, contrast (minimum)."""
        assert contrast(letter_ink(color), color) >= 4.5

    @pytest.mark.parametrize(
        ("first", "second", "expected"),
        (("#ffffff", "#000000", 21.0), ("#777777", "#ffffff", 4.48), ("#ff0000", "#ffffff", 4.00)),
    )
    def test_contrast_by_the_published_formula(self, first, second, expected):
        """Known ratios of the guideline's own formula."""
        assert round(contrast(first, second), 2) == expected

    def test_white_and_black_are_the_ends(self):
        assert (luminance("#ffffff"), luminance("#000000")) == (pytest.approx(1.0), 0.0)

    @pytest.mark.parametrize("text", ("", "red", "#12345", "#12345g", "url(#x)"))
    def test_unreadable_color_is_drawn_as_plain_batter(self, text):
        assert hex_or_plain(text) == "#e8dfc8"


class TestBlackAndWhite:
    def test_twelve_jugs_have_twelve_patterns(self):
        names = pattern_names(tuple("ABCDEFGHIJKL"))
        assert len(set(names.values())) == len(PATTERNS) == 12

    def test_a_jug_keeps_its_pattern_where_it_comes_again(self):
        assert pattern_names(("A", "B", "A", "C"))["C"] == PATTERNS[2][0]

    @given(colors)
    def test_pattern_prints_on_any_color(self, color):
        """Twice the luminance (with the guideline's flare term): own choice."""
        assert contrast(pattern_ink(color), color) >= 2


class TestSafety:
    @pytest.fixture
    def hostile(self) -> str:
        name = '"><script>alert(1)</script><g onload="x"\x00\x1b'
        cell = DrawnCell('<b "', "javascript:alert(1)", name=name)
        return bar_cross_section_svg(
            DrawnBar(name, D(80), D(60), (DrawnRow(D(1), (cell,)),), parts=(DrawnPart("seal", name, "x", name),)),
            has_legend=True,
        )

    def test_typed_words_stay_words(self, hostile):
        root = tree(hostile)
        assert root.find(f"{SVG}title").text == '"><script>alert(1)</script><g onload="x"'
        assert not [shape for shape in root.iter() if "script" in shape.tag or "onload" in shape.attrib]

    def test_nothing_a_strict_policy_forbids(self, hostile):
        for svg in (hostile, bar_cross_section_svg(HILLSIDE), bar_cross_section_svg(SWIRLED, is_small=True)):
            names = {name for shape in tree(svg).iter() for name in shape.attrib}
            assert not [name for name in names if name == "style" or name.startswith("on") or "href" in name]
            assert "<style" not in svg

    def test_templates_show_it_as_it_is(self):
        svg = bar_cross_section_svg(HILLSIDE)
        assert conditional_escape(svg) == str(svg)

    def test_a_piece_of_it_is_plain_text_again(self):
        assert conditional_escape(bar_cross_section_svg(HILLSIDE)[:4]) == "&lt;svg"

    def test_ids_differ_between_pictures(self):
        first, second = (
            {
                shape.attrib["id"]
                for shape in tree(bar_cross_section_svg(HILLSIDE, key=key)).iter()
                if "id" in shape.attrib
            }
            for key in ("design-1", "design-2")
        )
        assert first
        assert not first & second

    def test_same_bar_same_picture(self):
        assert bar_cross_section_svg(SWIRLED) == bar_cross_section_svg(SWIRLED)


class TestShapes:
    def test_round_bar_is_a_circle(self):
        bar = DrawnBar("Round", D(60), D(60), (DrawnRow(D(1), (DrawnCell("A", "#ffffff"),)),), is_round=True)
        clip = tree(bar_cross_section_svg(bar)).find(f".//{SVG}clipPath")
        assert [shape.tag for shape in clip] == [f"{SVG}circle"]

    @pytest.mark.parametrize(
        ("width", "height", "expected"), (("80", "60", "248"), ("80", "4", "72"), ("0", "60", "328"))
    )
    def test_height_follows_the_bar_within_reason(self, width, height, expected):
        """Worked by hand: 320 units wide and 4 units of margin on each side."""
        bar = DrawnBar("Bar", D(width), D(height), (DrawnRow(D(1), (DrawnCell("A", "#ffffff"),)),))
        assert tree(bar_cross_section_svg(bar)).attrib["height"] == expected

    def test_letters_keep_clear_of_an_embed(self):
        bar = DrawnBar(
            "Gem",
            D(80),
            D(60),
            (DrawnRow(D(5), (DrawnCell("A", "#ffffff"),)), DrawnRow(D(1), (DrawnCell("B", "#000000"),))),
            parts=(DrawnPart("embed", "gem", "#b4d6e8"),),
        )
        letter = next(text for text in tree(bar_cross_section_svg(bar)).iter(f"{SVG}text") if text.text == "A")
        gem_x, gem_half = 4 + 160, 240 * 0.24 * 0.7
        assert abs(float(letter.attrib["x"]) - gem_x) > gem_half

    @pytest.mark.parametrize(("bar", "beveled"), ((HILLSIDE, False), (SWIRLED, True)))
    def test_bevel_is_a_line_inside_the_edge(self, bar, beveled):
        drawn = DrawnBar(bar.title, bar.width_mm, bar.height_mm, bar.rows, is_beveled=beveled)
        inner = [
            shape for shape in tree(bar_cross_section_svg(drawn)).iter() if shape.attrib.get("stroke") == "#ffffff"
        ]
        assert (
            bool([shape for shape in inner if shape.tag == f"{SVG}rect" and shape.attrib["fill"] == "none"]) is beveled
        )
