"""Panel area, legal heights and places: the PD and EH rows of the check table, and the edges between steps."""

from datetime import date
from decimal import Decimal

import pytest

from formulas.label_rules.panel import CM2_PER_SQ_IN, Panel, panel_area_sq_in, quantity_place
from formulas.label_rules.rows import LabelRuleError
from formulas.label_rules.type_heights import ca_numeral_height, eu_figure_height, us_list_height, us_net_weight_height
from tests.formulas.tables.label_cases import case

DAY = date(2026, 11, 1)


def face(height: str, width: str) -> Panel:
    return Panel("rectangle", height_in=Decimal(height), width_in=Decimal(width))


PANELS = (
    case("PD01", face("3.25", "2.25"), "7.3125", "1/8", True),
    case("PD02", face("2.5", "2.0"), "5.0", "1/16", False),
    case("PD03", face("2.51", "2.0"), "5.02", "1/8", True),
    case("PD04", face("4", "6.25"), "25", "1/8", True),
    case("PD05", face("4", "6.5"), "26", "3/16", True),
    case("PD06", face("10", "10"), "100", "3/16", True),
    case("PD07", face("10", "10.1"), "101", "1/4", True),
    case("PD08", face("20", "20"), "400", "1/4", True),
    case("PD09", face("20", "20.5"), "410", "1/2", True),
    case("PD10", Panel("cylinder", height_in=Decimal(1), diameter_in=Decimal("2.5")), "3.1416", "1/16", False),
    case("PD11", Panel("other", surface_sq_in=Decimal(30)), "12", "1/8", True),
)


@pytest.mark.parametrize(("panel", "area", "height", "has_bottom_rule"), PANELS)
def test_net_weight_height_by_panel(panel, area, height, has_bottom_rule):
    found = panel_area_sq_in(panel, DAY)
    assert round(found, 4) == Decimal(area)
    rule = us_net_weight_height(found, DAY)
    assert (rule.fraction_in, rule.has_bottom_rule) == (height, has_bottom_rule)


@pytest.mark.parametrize(("panel_height", "zone"), (case("PD12", "3.25", "0.975"),))
def test_bottom_zone(panel_height, zone):
    place = quantity_place(
        area_sq_in=Decimal("7.3125"),
        panel_height_in=Decimal(panel_height),
        letter_height_in=Decimal("0.125"),
        n_width_in=Decimal("0.11"),
        on_date=DAY,
    )
    assert place.bottom_zone_in == Decimal(zone)


@pytest.mark.parametrize(("letter", "n_width", "above", "beside"), (case("PD13", "0.125", "0.11", "0.125", "0.22"),))
def test_clear_space(letter, n_width, above, beside):
    place = quantity_place(
        area_sq_in=Decimal("4.9"),
        panel_height_in=Decimal(2),
        letter_height_in=Decimal(letter),
        n_width_in=Decimal(n_width),
        on_date=DAY,
    )
    assert (place.clear_above_and_below_in, place.clear_left_and_right_in) == (Decimal(above), Decimal(beside))
    assert place.bottom_zone_in is None  # 5 square inches or less are free of the bottom rule


@pytest.mark.parametrize(("square_inches", "square_cm", "height"), (case("PD14", "7.3125", "47.177", "3.2"),))
def test_canadian_numerals(square_inches, square_cm, height):
    area = Decimal(square_inches) * CM2_PER_SQ_IN
    assert round(area, 3) == Decimal(square_cm)
    rule = ca_numeral_height(area, DAY)
    assert (rule.height_mm, rule.is_bold) == (Decimal(height), True)


FIGURES = (
    case("EH01", "50", "2"),
    case("EH02", "51", "3"),
    case("EH03", "120", "3"),
    case("EH04", "200", "3"),
    case("EH05", "201", "4"),
    case("EH06", "1000", "4"),
    case("EH07", "1001", "6"),
)


@pytest.mark.parametrize(("nominal", "height"), FIGURES)
def test_european_figures(nominal, height):
    assert eu_figure_height(Decimal(nominal), DAY).height_mm == Decimal(height)


def test_a_shop_that_was_told_another_rule_uses_its_own_rows():
    """A maker was told 2, 3 and 4 mm with steps at 50 and 100 g (a workshop case): the table is the owner's to edit."""
    told = (
        {"nominal_g_above": "0", "nominal_g_to": "50", "height_mm": "2", "source": "told by an inspector"},
        {"nominal_g_above": "50", "nominal_g_to": "100", "height_mm": "3", "source": "told by an inspector"},
        {"nominal_g_above": "100", "nominal_g_to": "", "height_mm": "4", "source": "told by an inspector"},
    )
    assert eu_figure_height(Decimal(120), DAY, rows=told).height_mm == Decimal(4)
    assert eu_figure_height(Decimal(120), DAY).height_mm == Decimal(3)


def test_molded_letters_stand_a_sixteenth_taller():
    """21 CFR 701.13(h), from memory: 1/8 in and 1/16 in more; 3/16 in is 4.7625 mm."""
    rule = us_net_weight_height(Decimal("7.3125"), DAY, is_molded=True)
    assert (rule.height_in, rule.height_mm) == (Decimal("0.1875"), Decimal("4.7625"))


@pytest.mark.parametrize(("surface", "fraction"), (("12", "1/16"), ("11.99", "1/32")))
def test_letters_of_the_us_list(surface, fraction):
    """21 CFR 701.3(b), read in a summary: half the height under 12 square inches."""
    assert us_list_height(Decimal(surface), DAY).fraction_in == fraction


def test_the_whole_of_an_obvious_panel_counts():
    """16 CFR 500.21(a), read: the top of an odd shape, whole, instead of 40 percent of the surface."""
    panel = Panel("other", surface_sq_in=Decimal(30), obvious_sq_in=Decimal(4))
    assert panel_area_sq_in(panel, DAY) == Decimal(4)


@pytest.mark.parametrize("panel", (Panel("rectangle", height_in=Decimal(2)), face("0", "2"), Panel("other")))
def test_an_unmeasured_panel_is_refused(panel):
    with pytest.raises(LabelRuleError):
        panel_area_sq_in(panel, DAY)


def test_no_height_for_no_size():
    with pytest.raises(LabelRuleError):
        eu_figure_height(Decimal(0), DAY)
