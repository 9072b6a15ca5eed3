"""Charts: figures land where the scale puts them, and the same figures stand in the words beside the picture."""

from decimal import Decimal
from xml.etree import ElementTree

import pytest

from formulas.chemistry.results import SuperfatInterval
from formulas.drawing import (
    CurvePoint,
    CurveRange,
    cure_curve_svg,
    fatty_acids_svg,
    mold_cut_plan_svg,
    superfat_interval_svg,
)
from formulas.drawing.chart import Scale, percent_text
from formulas.geometry import ColumnMold, LoafMold, SlabMold

D = Decimal
SVG = "{http://www.w3.org/2000/svg}"


def tree(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def texts(svg: str) -> list[str]:
    return [text.text for text in tree(svg).iter(f"{SVG}text")]


def description(svg: str) -> str:
    return tree(svg).find(f"{SVG}desc").text


def interval(planned: str, lowest: str, highest: str, safe: str, likely=("0", "0")) -> SuperfatInterval:
    return SuperfatInterval(D(planned), D(lowest), D(highest), D(safe), D(1), D(likely[0]), D(likely[1]))


ALL = (
    superfat_interval_svg(interval("5", "0.68", "9.04", "4.35", ("2.9", "7.1")), D(2)),
    fatty_acids_svg((("Lauric & <co>", D("14.4")), ("Oleic", D("43.25")))),
    cure_curve_svg(
        (CurvePoint(1, D(119)), CurvePoint(8, D(113))), (CurveRange(8, D(112), D(113), D(114)),), ready_day=38
    ),
    cure_curve_svg(()),
    mold_cut_plan_svg(LoafMold(D(310), D(80), D(60), D(25)), end_trim_mm=D(3)),
    mold_cut_plan_svg(SlabMold(D(300), D(200), D(40), 3, 6)),
)


@pytest.mark.parametrize("svg", ALL)
class TestEveryPicture:
    def test_has_role_title_and_description(self, svg):
        root = tree(svg)
        assert root.attrib["role"] == "img"
        assert root.find(f"{SVG}title").text
        assert root.find(f"{SVG}desc").text

    def test_has_nothing_a_strict_policy_forbids(self, svg):
        names = {name for shape in tree(svg).iter() for name in shape.attrib}
        assert not [name for name in names if name == "style" or name.startswith("on") or "href" in name]

    def test_lies_inside_its_frame(self, svg):
        root = tree(svg)
        width = float(root.attrib["width"])
        for text in root.iter(f"{SVG}text"):
            assert 0 <= float(text.attrib["x"]) <= width


class TestScale:
    def test_ends_and_middle(self):
        scale = Scale(-1, 11, 100, 220)
        assert (scale.at(-1), scale.at(D(5)), scale.at(11)) == (100, 160, 220)

    @pytest.mark.parametrize(
        ("low", "high", "most", "expected"),
        (
            (-1, 11, 14, tuple(range(-1, 12))),
            (0, 100, 5, (0, 20, 40, 60, 80, 100)),
            (103, 121, 6, (105, 110, 115, 120)),
        ),
    )
    def test_round_ticks(self, low, high, most, expected):
        assert Scale(low, high, 0, 1).ticks(most) == expected

    @pytest.mark.parametrize(
        ("percent", "expected"), (("5.00", "5 %"), ("0.683", "0.68 %"), ("-3.1", "−3.1 %"), ("10", "10 %"))
    )
    def test_percent_as_people_write_it(self, percent, expected):
        assert percent_text(D(percent)) == expected


class TestSuperfat:
    def test_words(self):
        assert description(ALL[0]) == (
            "Lowest 0.68 %, likely 2.9 % to 7.1 %, highest 9.04 %. Smallest safe plan 4.35 %. "
            "It stays above zero, but can fall below the floor of 2 %."
        )

    @pytest.mark.parametrize(
        ("lowest", "ending"),
        (
            ("-0.5", "It can fall below zero: lye would be left over."),
            ("2.0", "It stays above zero."),
        ),
    )
    def test_verdict(self, lowest, ending):
        assert description(superfat_interval_svg(interval("5", lowest, "9", "4"), D(2))).endswith(ending)

    def test_figures_on_the_picture(self):
        assert set(texts(ALL[0])) >= {"0.68 %", "9.04 %", "planned 5 %", "floor 2 %", "smallest safe plan 4.35 %"}

    def test_band_reaches_from_lowest_to_highest(self):
        """Worked by hand: −1 to 11 lies on 92 to 548, 38 units a percent; 0.68 to 9.04 is 317.68 units."""
        band = next(shape for shape in tree(ALL[0]).iter(f"{SVG}rect") if shape.attrib.get("class") == "sunk-fill")
        assert (band.attrib["x"], band.attrib["width"]) == ("155.84", "317.68")

    def test_floor_line_makes_room_for_the_planned_figure(self):
        crossed, clear = (
            [shape for shape in tree(svg).iter(f"{SVG}path") if "dashed" in shape.attrib.get("class", "")]
            for svg in (superfat_interval_svg(interval("2", "-3", "7", "4"), D(2)), ALL[0])
        )
        assert (len(crossed), len(clear)) == (2, 1)


class TestFattyAcids:
    def test_bar_lengths_follow_the_figures(self):
        bars = [float(bar.attrib["width"]) for bar in tree(ALL[1]).iter(f"{SVG}rect")]
        assert bars[0] / bars[1] == pytest.approx(14.4 / 43.25, rel=1e-4)

    def test_names_and_figures(self):
        assert texts(ALL[1]) == ["Lauric & <co>", "14.4 %", "Oleic", "43.3 %"]

    def test_nothing_known(self):
        assert description(fatty_acids_svg(())) == "Not known."


class TestCure:
    def test_words(self):
        assert description(ALL[2]) == (
            "119.0 g on day 1, 113.0 g on day 8. Expected on day 8: 113.0 g, between 112.0 and 114.0 g. "
            "Ready about day 38."
        )

    def test_nothing_weighed(self):
        assert description(ALL[3]) == "Nothing weighed yet."
        assert "Nothing weighed yet" in texts(ALL[3])

    def test_one_dot_for_each_weighing(self):
        assert len(list(tree(ALL[2]).iter(f"{SVG}circle"))) == 2


class TestCutPlan:
    def test_bars_are_numbered(self):
        assert texts(ALL[4])[:-1] == [str(number) for number in range(1, 13)]

    def test_what_is_left_over(self):
        """Worked by hand: 310 − 2 × 3 − 12 × 25 mm."""
        assert description(ALL[4]) == "12 bars of 25.0 mm, ends 3.0 mm each, 4.0 mm left over."

    def test_slab(self):
        assert len(texts(ALL[5])) == 18 + 1
        assert description(ALL[5]) == "3 rows of 6, 50.0 × 66.7 mm each."

    def test_column_shows_its_diameter(self):
        root = tree(mold_cut_plan_svg(ColumnMold(D(50), D(250), D(25))))
        outline = root.find(f"{SVG}rect")
        assert float(outline.attrib["width"]) / float(outline.attrib["height"]) == pytest.approx(5, rel=1e-3)
