"""A lot weighed bar by bar: the figure every bar holds at the hand-over, the market's test, the bars that are short."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from production.labels.lot_weights import (
    WeighedLot,
    bars_to_weigh,
    far_out,
    lot_problem,
    lot_result,
    lot_statement,
    step_problem,
)
from production.labels.net_weight import OUNCE_GRAMS, net_statement, statement_for_ounces

PACKED = date(2026, 5, 1)
HAND_OVER = date(2026, 6, 12)


def lot(*weights, kept="1", size=None, step=None):
    bars = tuple((number, Decimal(grams)) for number, grams in enumerate(weights, start=1))
    return WeighedLot(
        on=PACKED,
        until=HAND_OVER,
        bars_grams=bars,
        lot_size=size or len(bars),
        kept_fraction=Decimal(kept),
        step_grams=None if step is None else Decimal(step),
    )


def test_c38_uneven_heart_bars_print_what_the_lightest_still_holds():
    """3.5 to 4 oz, 5 % more to lose: 3.5 × 0.95 = 3.325, cut down to 3.32 oz and 94 g (case C38, worked by hand)."""
    hearts = lot(*(OUNCE_GRAMS * Decimal(ounces) for ounces in ("3.5", "3.7", "4")), kept="0.95")
    assert lot_statement(hearts, market="us_soap").text == "Net Wt 3.32 oz (94 g)"


def test_c38_a_bar_under_the_label_is_named():
    """Label 3.5 oz: only the bar of 3.6 oz and more holds it after 2.5 % more are lost (3.6 × 0.975 = 3.51)."""
    hearts = lot(*(OUNCE_GRAMS * Decimal(ounces) for ounces in ("3.5", "3.58", "3.6", "4")), kept="0.975")
    label = statement_for_ounces(Decimal("3.5"), market="us_soap")
    assert hearts.short_of(label.must_hold_grams) == (1, 2)
    assert hearts.short_of(Decimal(90)) == ()


def test_c39_a_figure_of_the_cut_is_stopped_when_the_bars_dry_under_it():
    """Cut at 4 to 5 oz, under 4 oz after four weeks: 4 oz is stopped, the floor of the forecast is offered (C39)."""
    bars = lot("118", "121", "119", "120", kept="0.92")
    label = statement_for_ounces(Decimal(4), market="us_soap")
    # Mean 119.5 × 0.92 = 109.94 g; 4 oz are 113.398 g; the lightest holds 118 × 0.92 = 108.56 g = 3.82 oz.
    stopped = lot_problem(bars, label, market="us_soap", rules_on=PACKED)
    assert stopped is not None
    assert (stopped.level, stopped.code) == ("stop", "lot_does_not_hold")
    assert stopped.mend == "Print “Net Wt 3.82 oz (108 g)”, or set the short bars aside on the net weight page."


C40_LABEL = net_statement(Decimal(100), market="uk")


@pytest.mark.parametrize(
    ("weights", "outcomes"),
    (
        # 36 bars, label 100 g, tolerable error 4.5 g: lowest 91.0, few under 95.5, mean 100 (case C40; SI 2006/659).
        pytest.param(("100",) * 36, ("pass", "pass", "pass"), id="all at the label"),
        pytest.param(("95.5", *("100.2",) * 35), ("pass", "pass", "pass"), id="one at the first limit"),
        pytest.param(("95.4", "95.4", *("100.5",) * 34), ("pass", "fail", "pass"), id="two under the first limit"),
        pytest.param(("90.9", *("100.5",) * 35), ("pass", "fail", "fail"), id="one under the second limit"),
        pytest.param(("99.9",) * 36, ("fail", "pass", "pass"), id="the mean is short"),
    ),
)
def test_c40_the_three_packers_rules(weights, outcomes):
    result = lot_result(lot(*weights), C40_LABEL, market="uk", rules_on=PACKED)
    assert tuple(check.outcome for check in result.checks) == outcomes


def test_c40_the_test_is_of_the_hand_over_day_not_of_the_packing():
    """100.5 g on packing day pass; the same bars with 1 % still to lose do not (99.495 g, worked by hand)."""
    assert lot_problem(lot(*("100.5",) * 36), C40_LABEL, market="uk", rules_on=PACKED) is None
    late = lot_problem(lot(*("100.5",) * 36, kept="0.99"), C40_LABEL, market="uk", rules_on=PACKED)
    assert late is not None
    assert "mean 99.495 g; limit 100" in late.text


def test_a_sample_too_small_for_the_plan_stops_the_label():
    problem = lot_problem(lot("100", "101", size=48), C40_LABEL, market="uk", rules_on=PACKED)
    assert problem is not None
    assert problem.text == "The plan needs 48 bars of this lot; 2 were weighed. Weigh the others."


def test_where_no_plan_is_known_every_bar_must_hold():
    label = net_statement(Decimal(100), market="ca")
    assert lot_problem(lot("100", "100"), label, market="ca", rules_on=PACKED) is None
    assert lot_problem(lot("99.9", "103"), label, market="ca", rules_on=PACKED) is not None


@pytest.mark.parametrize(
    ("size", "market", "expected"),
    (
        (9, "us_soap", 9),  # NIST HB 133 Table 2-1 (from memory, recalculated)
        (48, "us_soap", 12),
        (80, "eu", 80),  # SI 2006/659 Sch. 2 para 4.7: under 100 packages all are weighed
        (120, "uk", 30),
        (7, "ca", 7),
    ),
)
def test_how_many_bars_are_weighed(size, market, expected):
    assert bars_to_weigh(size, market=market, rules_on=PACKED) == expected


@pytest.mark.parametrize(
    ("step", "is_asked"),
    (
        # 100 g, tolerable error 4.5 g: checking error at most 0.9 g (WELMEC 6.9).
        ("0.9", False),
        ("1", True),
        (None, False),
    ),
)
def test_a_scale_too_coarse_is_asked_about(step, is_asked):
    found = step_problem(lot("100", step=step), C40_LABEL, market="eu", rules_on=PACKED)
    assert (found is not None) == is_asked


def test_a_slip_of_the_pen_is_no_bar():
    assert far_out(tuple(map(Decimal, ("98.1", "9.81", "99", "981", "97")))) == (2, 4)
    assert far_out(tuple(map(Decimal, ("98.1", "60", "99")))) == ()
    assert far_out(()) == ()


def test_bars_set_aside_are_out_of_the_test():
    short = lot("88", "100", "100", "101")
    label = statement_for_ounces(Decimal("3.5"), market="us_soap")
    assert lot_problem(short, label, market="us_soap", rules_on=PACKED) is not None
    rest = replace(short, bars_grams=short.bars_grams[1:], lot_size=3)
    assert lot_problem(rest, label, market="us_soap", rules_on=PACKED) is None
