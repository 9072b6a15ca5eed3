"""The net weight of a label: what it stands on, what may be typed, what is refused."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from production.cure.weights import BarWeighing, MarkedBar
from production.labels.bar_weights import BarFacts, BarWeights, bar_weights
from production.labels.net import net_figure, read_net_weight

CUT = date(2026, 5, 13)
HAND_OVER = date(2026, 7, 20)
WEIGHTS = BarWeights(
    on=HAND_OVER,
    fresh_grams=Decimal(128),
    fresh_basis="mean of the bars weighed at the cut",
    low_grams=Decimal("120.49"),
    expected_grams=Decimal("121.2"),
    cured_fraction=Decimal("0.9"),
    low_fraction=Decimal("0.89"),
    lowest_fraction=Decimal("0.88"),
    weighings=6,
)
FACTS = BarFacts(
    batter_grams=Decimal(1560),
    dry_grams=Decimal(1250),
    scent_grams=Decimal(30),
    bars_made=12,
    cut_on=CUT,
    is_cut=True,
    mean_cut_grams=Decimal(128),
)


def codes(figure):
    return [problem.code for problem in figure.problems]


def marked(*pairs):
    return (MarkedBar("1", tuple(BarWeighing(CUT + timedelta(days=d), Decimal(g)) for d, g in pairs)),)


@pytest.mark.parametrize(
    ("market", "text"),
    (
        # 120.49 g × 0.0352740 = 4.2501 oz, cut to 4.25 oz; grams cut to three figures (16 CFR 500.19, read)
        pytest.param("us_soap", "Net Wt 4.25 oz (120 g)", id="US: both units, worked by hand"),
        pytest.param("us_cosmetic", "Net Wt 4.25 oz (120 g)", id="US cosmetic, worked by hand"),
        pytest.param("eu", "120 g", id="EU: grams alone, worked by hand"),
    ),
)
def test_the_highest_figure_that_holds_is_printed(market, text):
    figure = net_figure(WEIGHTS, parts_grams=Decimal(0), market=market)
    assert figure.text == text
    assert codes(figure) == []


def test_parts_set_on_after_the_cut_are_added():
    figure = net_figure(WEIGHTS, parts_grams=Decimal(4), market="us_soap")
    assert figure.lowest_grams == Decimal("124.49")


@pytest.mark.parametrize(
    ("typed", "text"),
    (
        pytest.param("4 oz", "Net Wt 4 oz (113 g)", id="4 × 28.3495 = 113.398, worked by hand"),
        pytest.param("Net Wt 4 oz (113 g)", "Net Wt 4 oz (113 g)", id="a whole statement"),
        pytest.param("4 oz (113 g)", "Net Wt 4 oz (113 g)", id="the words are put before it"),
        pytest.param("113 g", "Net Wt 3.98 oz (113 g)", id="113 × 0.0352740 = 3.9859, worked by hand"),
    ),
)
def test_a_smaller_figure_may_be_typed(typed, text):
    figure = net_figure(WEIGHTS, parts_grams=Decimal(0), market="us_soap", typed=typed)
    assert figure.text == text
    assert codes(figure) == []


def test_a_larger_figure_is_refused_with_what_holds():
    figure = net_figure(WEIGHTS, parts_grams=Decimal(0), market="us_soap", typed="4.5 oz")
    assert codes(figure) == ["net_weight_not_held"]
    assert figure.problems[0].mend == "Print “Net Wt 4.25 oz (120 g)”, or set the short bars aside and weigh again."


@pytest.mark.parametrize(
    "typed", ("jumbo 4 oz (113 g)", "4-5 oz", "4 oz (99 g)", "heavy", "1e9 oz", "٤ oz", "4.125 oz")
)
def test_what_is_no_net_weight_is_refused_in_a_sentence(typed):
    assert codes(net_figure(WEIGHTS, parts_grams=Decimal(0), market="us_soap", typed=typed)) == ["net_weight_unclear"]


def test_bars_that_were_never_weighed_stop_the_label():
    figure = net_figure(replace(WEIGHTS, weighings=0), parts_grams=Decimal(0), market="us_soap")
    assert codes(figure) == ["bar_not_weighed"]


def test_reading_keeps_the_grams_of_a_metric_market():
    assert read_net_weight("113 g", market="eu").text == "113 g"


def test_unweighed_bars_are_forecast_and_stay_between_dry_and_fresh():
    weights = bar_weights(FACTS, on=HAND_OVER)
    assert not weights.is_weighed
    assert FACTS.dry_grams / FACTS.batter_grams <= weights.lowest_fraction < weights.cured_fraction < 1
    assert weights.low_grams < weights.expected_grams < weights.fresh_grams


def test_weighed_bars_narrow_the_forecast_and_the_lighter_mean_counts():
    """Marked bars that weighed 120 g at the cut stand for less than the 128 g of the whole cut."""
    pairs = ((0, "120"), (7, "114"), (14, "111"), (28, "108.4"), (42, "107.7"), (48, "107.6"))
    weights = bar_weights(replace(FACTS, marked=marked(*pairs)), on=HAND_OVER)
    assert weights.weighings == 6
    assert Decimal(105) < weights.low_grams < Decimal("107.6")


def test_the_share_of_the_batter_stands_in_where_no_bar_was_weighed_at_the_cut():
    weights = bar_weights(replace(FACTS, mean_cut_grams=None), on=HAND_OVER)
    assert weights.fresh_grams == Decimal(130)  # 1560 / 12, by hand
    by_molds = bar_weights(
        replace(FACTS, mean_cut_grams=None, in_molds_grams=Decimal(1550), ends_grams=Decimal(50)), on=HAND_OVER
    )
    assert by_molds.fresh_grams == Decimal(125)  # (1550 − 50) / 12, by hand


def test_bars_heavier_than_their_batter_ask():
    weights = bar_weights(replace(FACTS, mean_cut_grams=Decimal(140), marked=marked((0, "128"))), on=HAND_OVER)
    assert weights.outweighs_batter
    assert codes(net_figure(weights, parts_grams=Decimal(0), market="us_soap")) == ["bars_outweigh_batter"]
    assert not bar_weights(FACTS, on=HAND_OVER).outweighs_batter


def test_batter_without_water_keeps_its_weight():
    """A melt of ready soap without water: nothing can dry away."""
    weights = bar_weights(replace(FACTS, dry_grams=Decimal(1560), mean_cut_grams=None), on=HAND_OVER)
    assert (weights.cured_fraction, weights.low_grams) == (Decimal(1), Decimal(130))


def test_what_comes_off_before_use_is_no_part_of_the_contents():
    """Worked by hand: a 7 g figure pressed in at the pour was weighed with the bar and is taken off its net weight."""
    whole = net_figure(WEIGHTS, parts_grams=Decimal(0), market="us_soap")
    bare = net_figure(WEIGHTS, parts_grams=Decimal(0), removed_grams=Decimal(7), market="us_soap")
    assert bare.lowest_grams == whole.lowest_grams - 7
    assert bare.statement.grams < whole.statement.grams
    assert [(line.what, line.figure) for line in bare.working if "taken off" in line.what] == [
        ("Weighed with the bar, and taken off before use", "less 7.00 g")
    ]
    assert not [line for line in whole.working if "taken off" in line.what]
