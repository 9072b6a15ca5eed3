"""The printed net weight: cut down in both units, in the form of each class, and read back."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.labels.net_weight import (
    NetWeightError,
    fraction_text,
    lowest_mean_grams,
    net_statement,
    short_bars,
    statement_for_ounces,
    weight_problem,
)
from production.labels.net_weight_text import parse_statement
from tests.formulas.tables.label_cases import case

FROM_OUNCES = (
    case("NQ01", "4.25", "us_soap", "Net Wt 4.25 oz (120 g)", "120"),
    case("NQ02", "3.5", "us_soap", "Net Wt 3.5 oz (99 g)", "99"),
    case("NQ03", "5", "us_soap", "Net Wt 5 oz (141 g)", "141"),
    case("NQ04", "1.5", "us_cosmetic", "Net Wt 1.5 oz (42 g)", "42"),
    case("NQ05", "2", "us_cosmetic", "Net Wt 2 oz (56 g)", "56"),
    case("NQ08", "18", "us_cosmetic", "Net Wt 18 oz (1 lb 2 oz) 510 g", "510"),
    case("NQ09", "18", "us_soap", "Net Wt 1 lb 2 oz (510 g)", "510"),
    case("NQ10", "16", "us_soap", "Net Wt 1 lb (453 g)", "453"),
)


@pytest.mark.parametrize(("ounces", "market", "text", "grams"), FROM_OUNCES)
def test_statement_for_a_chosen_figure(ounces, market, text, grams):
    statement = statement_for_ounces(Decimal(ounces), market=market)
    assert (statement.text, statement.grams) == (text, Decimal(grams))


FROM_LOWEST = (
    case("NQ06", "100", "3.52", "100", "100"),
    case("NQ07", "118.4", "4.17", "118", "118.217415"),
)


@pytest.mark.parametrize(("lowest", "ounces", "grams", "must_hold"), FROM_LOWEST)
def test_statement_from_the_lowest_mean(lowest, ounces, grams, must_hold):
    statement = net_statement(Decimal(lowest), market="us_soap")
    assert (statement.ounces, statement.grams, statement.must_hold_grams) == (
        Decimal(ounces),
        Decimal(grams),
        Decimal(must_hold),
    )


@pytest.mark.parametrize(
    ("at_pack", "loss", "lowest", "text", "must_hold"),
    (case("ML01", "118.0", "6.0", "110.92", "Net Wt 3.91 oz (110 g)", "110.846545"),),
)
def test_figure_after_the_loss_still_to_come(at_pack, loss, lowest, text, must_hold):
    mean = lowest_mean_grams(mean_at_pack_grams=Decimal(at_pack), further_loss_percent=Decimal(loss))
    statement = net_statement(mean, market="us_soap")
    assert (mean, statement.text, statement.must_hold_grams) == (Decimal(lowest), text, Decimal(must_hold))


@pytest.mark.parametrize(("ounces", "fraction", "cut"), (case("NQ11", "4.125", "4 1/8", "Net Wt 4.12 oz (116 g)"),))
def test_three_decimals_are_refused_and_a_fraction_is_fine(ounces, fraction, cut):
    with pytest.raises(NetWeightError) as refusal:
        statement_for_ounces(Decimal(ounces), market="us_cosmetic")
    assert str(refusal.value) == "4.125 oz has more than two decimals. Print 4.12 oz, or a fraction such as 1/8."
    assert fraction_text(Decimal(ounces)) == fraction
    assert statement_for_ounces(Decimal("4.12"), market="us_cosmetic").text == cut
    fractional = statement_for_ounces(Decimal(ounces), market="us_cosmetic", has_fraction=True)
    assert fractional.text == "Net Wt 4 1/8 oz (116 g)"


@pytest.mark.parametrize(
    ("typed", "word"), (case("NQ12", ("full 4 oz", "giant 4 oz", "4 oz when packed"), ("full", "giant", "when")),)
)
def test_words_beside_the_quantity_are_refused(typed, word):
    for text, culprit in zip(typed, word, strict=True):
        with pytest.raises(NetWeightError) as refusal:
            parse_statement(text, market="us_soap")
        assert str(refusal.value) == f"“{culprit}” may not stand beside the net weight. Take it out."


@pytest.mark.parametrize(
    ("text", "ounces", "grams"),
    (
        pytest.param("Net Wt 4.25 oz (120 g)", "4.25", "120", id="small bar, worked by hand"),
        pytest.param("NET WT. 4 1/8 OZ. (116 g)", "4.125", "116", id="fraction and capitals, worked by hand"),
        pytest.param("Net Wt 18 oz (1 lb 2 oz) 510 g", "18", "510", id="loaf, both forms, worked by hand"),
        pytest.param("Net Weight 4 lb 2 oz (1.87 kg)", "66", "1870", id="over four pounds, worked by hand"),
    ),
)
def test_read_back(text, ounces, grams):
    statement = parse_statement(text, market="us_cosmetic")
    assert (statement.ounces, statement.grams) == (Decimal(ounces), Decimal(grams))


@pytest.mark.parametrize(
    ("text", "refusal"),
    (
        ("4-5 oz (120 g)", "A range is not a net weight. Print the lowest weight the bars hold."),
        ("4.125 oz (116 g)", "4.125 has more than two decimals. Cut it to two, or print a fraction such as 1/8."),
        ("4 2/8 oz (120 g)", "2/8 is no usual fraction of an ounce. Use 1/2, 1/4, 1/8 and so on, lowest terms."),
        ("Net Wt 4.25 (120 g)", "“4.25” has no unit. Write oz, lb, g or kg after it."),
        ("4.25 oz", "The net weight must be given in ounces and in grams. Add the other unit."),
        ("4.25 oz (220 g)", "4.25 oz is 120.5 g, not 220 g. Correct one of the two figures."),
        (
            "18 oz (1 lb 3 oz) 510 g",
            "“18 oz (1 lb 3 oz) 510 g” gives two different weights. Write one weight, in both units.",
        ),
        ("", "Write the net weight like “Net Wt 4.25 oz (120 g)”."),
    ),
)
def test_what_cannot_stand_is_refused(text, refusal):
    with pytest.raises(NetWeightError) as caught:
        parse_statement(text, market="us_cosmetic")
    assert str(caught.value) == refusal


@pytest.mark.parametrize(
    ("ounces", "market", "text"),
    (
        pytest.param(
            "63.99", "us_cosmetic", "Net Wt 63.99 oz (3 lb 15.99 oz) 1.81 kg", id="just under 4 lb, worked by hand"
        ),
        pytest.param("66", "us_cosmetic", "Net Wt 4 lb 2 oz (1.87 kg)", id="4 lb and more, worked by hand"),
        pytest.param("15.99", "us_soap", "Net Wt 15.99 oz (453 g)", id="just under 1 lb, worked by hand"),
    ),
)
def test_forms_at_their_edges(ounces, market, text):
    assert statement_for_ounces(Decimal(ounces), market=market).text == text


@pytest.mark.parametrize(
    ("places", "text"),
    (
        pytest.param(2, "Net Wt 3.32 oz (94 g)", id="two decimals"),
        pytest.param(1, "Net Wt 3.3 oz (93 g)", id="a shop that prints one decimal"),
    ),
)
def test_uneven_heart_bars(places, text):
    """Lowest bar 3.5 oz, 5 percent still to lose: 3.325 oz. Figures of a workshop case, worked by hand."""
    lowest = lowest_mean_grams(mean_at_pack_grams=Decimal("3.5") * Decimal("28.3495"), further_loss_percent=Decimal(5))
    assert net_statement(lowest, market="us_soap", ounce_places=places).text == text


def test_metric_markets_print_grams_alone():
    """Worked by hand: 118.4 g cut to three figures, 94.26 g to two."""
    assert net_statement(Decimal("118.4"), market="eu").text == "118 g"
    assert net_statement(Decimal("94.26"), market="ca").text == "94 g"


def test_the_factors_never_add_a_hair():
    """28.3495 × 0.0352740 is 1.00000026: a bar a hair under 4 oz must not print 4 oz (worked by hand)."""
    assert net_statement(Decimal("113.39799"), market="us_soap").ounces == Decimal("3.99")
    assert net_statement(Decimal("113.398"), market="us_soap").ounces == Decimal(4)


@given(st.decimals(min_value="5", max_value="3000", places=4, allow_nan=False))
def test_never_more_than_the_bars_hold(lowest):
    for market in ("us_soap", "us_cosmetic", "eu", "uk", "ca"):
        assert net_statement(lowest, market=market).must_hold_grams <= lowest


@given(
    st.decimals(min_value="5", max_value="3000", places=2, allow_nan=False), st.sampled_from(("us_soap", "us_cosmetic"))
)
def test_what_is_printed_reads_back(lowest, market):
    printed = net_statement(lowest, market=market)
    read = parse_statement(printed.text, market=market)
    assert (read.ounces, read.grams) == (printed.ounces, printed.grams)


def test_a_label_that_the_bars_cannot_hold_is_stopped():
    printed = statement_for_ounces(Decimal("4.25"), market="us_soap")
    problem = weight_problem(printed, Decimal("118.4"))
    assert problem is not None
    assert (problem.level, problem.code) == ("stop", "net_weight_not_held")
    assert problem.mend == "Print “Net Wt 4.17 oz (118 g)”, or set the short bars aside and weigh again."
    assert weight_problem(printed, Decimal("120.485375")) is None


def test_short_bars_are_named():
    bars = (("1", Decimal("110.9")), ("2", Decimal("110.8")), ("3", Decimal("110.846545")))
    assert short_bars(bars, Decimal("110.846545")) == ("2",)


@pytest.mark.parametrize("loss", ("-1", "100", "140"))
def test_a_loss_that_cannot_be_is_refused(loss):
    with pytest.raises(NetWeightError):
        lowest_mean_grams(mean_at_pack_grams=Decimal(100), further_loss_percent=Decimal(loss))


@pytest.mark.parametrize("grams", ("0", "-5"))
def test_no_weight_is_refused(grams):
    with pytest.raises(NetWeightError):
        net_statement(Decimal(grams), market="us_soap")
