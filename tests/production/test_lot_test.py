"""Lot tests: the US plan and the EU/UK reference test, table rows and whole lots."""

from datetime import date
from decimal import Decimal

import pytest

from production.labels.lot_test import (
    LotTestError,
    eu_lot_test,
    eu_mean_check,
    us_average_check,
    us_lot_test,
    us_sampling,
    us_single_check,
)
from production.labels.net_weight import NetWeightError, statement_for_ounces
from production.labels.tolerances import mav_for, mav_for_label, tolerable_error
from tests.formulas.tables.label_cases import case

DAY = date(2026, 11, 1)


def decimals(text: str) -> list[Decimal]:
    return [Decimal(word) for word in text.split()]


MAVS = (
    case("MV01", "1", "oz", "0.1", None),
    case("MV02", "1.28", "oz", "0.128", None),
    case("MV03", "3", "oz", "0.256", "7.2"),
    case("MV04", "4.16", "oz", "0.256", "7.2"),
    case("MV05", "4.17", "oz", "0.320", "9.0"),
    case("MV06", "4.25", "oz", "0.320", "9.0"),
    case("MV07", "100", "g", "7.2", "7.2"),
    case("MV08", "117", "g", "7.2", "7.2"),
    case("MV09", "118", "g", "9.0", "9.0"),
    case("MV10", "0.5", "lb", "0.028", "12.7"),
    case("MV11", "1", "lb", "0.044", "19.9"),
    case("MV12", "60", "lb", "1.2", None),
)


@pytest.mark.parametrize(("printed", "unit", "allowed", "grams"), MAVS)
def test_mav_by_the_printed_figure(printed, unit, allowed, grams):
    mav = mav_for(Decimal(printed), unit, DAY)
    assert mav.in_label_unit == Decimal(allowed)
    if grams is not None:
        assert mav.grams == Decimal(grams)


def test_the_smaller_mav_holds_where_the_figures_part():
    """4.17 oz belongs to the 9.0 g row and 117 g to the 7.2 g row: table of NIST Handbook 133, from memory."""
    parted = mav_for_label(ounces=Decimal("4.17"), grams=Decimal(117), on_date=DAY)
    assert parted.grams == Decimal("7.2")
    assert parted.warning == ("4.17 oz and 117 g fall in different rows of the table; the smaller allowance is used.")
    assert mav_for_label(ounces=Decimal("4.17"), grams=Decimal(118), on_date=DAY).warning == ""


PLANS = (
    case("SP01", 1, 1, None),
    case("SP02", 9, 9, "0.769"),
    case("SP03", 48, 12, "0.635"),
    case("SP04", 250, 12, "0.635"),
    case("SP05", 251, 24, "0.422"),
    case("SP06", 5000, 48, "0.291"),
)


@pytest.mark.parametrize(("lot", "size", "factor"), PLANS)
def test_us_sampling_plan(lot, size, factor):
    plan = us_sampling(lot, DAY)
    assert (plan.sample_size, plan.correction_factor) == (size, Decimal(factor) if factor else None)


AVERAGES = (
    case("SE01", "-0.9", "2.0", "pass", "average error −0.9 g; limit 0.635 × 2 = 1.27 g"),
    case("SE02", "-1.5", "2.0", "fail", "average error −1.5 g; limit 0.635 × 2 = 1.27 g"),
    case("SE03", "0.2", None, "pass", "average error +0.2 g: at or over the label"),
)


@pytest.mark.parametrize(("error", "deviation", "outcome", "working"), AVERAGES)
def test_us_average(error, deviation, outcome, working):
    check = us_average_check(
        mean_error_grams=Decimal(error),
        stdev_grams=Decimal(deviation) if deviation else None,
        factor=us_sampling(48, DAY).correction_factor,
    )
    assert (check.outcome, check.working) == (outcome, working)


@pytest.mark.parametrize(("label_oz", "short", "outcome"), (case("SE04", "4.25", "-9.6", "fail"),))
def test_us_single_bar(label_oz, short, outcome):
    mav = mav_for(Decimal(label_oz), "oz", DAY)
    check = us_single_check([Decimal("1.5"), Decimal(short)], mav.grams)
    assert (check.outcome, check.working) == (outcome, "1 of 2 bars short by more than 9 g; 0 allowed")
    assert us_single_check([Decimal("1.5"), Decimal("-9.0")], mav.grams).outcome == "pass"


def test_us_lot_passes_and_shows_its_working():
    """Worked by hand: mean 121.5 − 120.485375 is over the label."""
    result = us_lot_test(
        label=statement_for_ounces(Decimal("4.25"), market="us_soap"),
        weights_grams=decimals("121 122 " * 6),
        lot_size=40,
        on_date=DAY,
    )
    assert result.outcome == "pass"
    assert result.mean_grams == Decimal("121.5")
    assert [check.working for check in result.checks] == [
        "average error +1.0146 g: at or over the label",
        "0 of 12 bars short by more than 9 g; 0 allowed",
    ]
    assert result.notes == ("label Net Wt 4.25 oz (120 g): to hold 120.485375 g", "plan: 12 of 40 bars")


def test_a_sample_gets_the_correction_and_a_whole_lot_does_not():
    """Mean 120.0 g is 0.485 g under; s is 1.2792 g, so the sample's limit 0.812 g lets it pass (worked by hand)."""
    weights = decimals("118 119 120 121 122 120 118 119 120 121 122 120")
    label = statement_for_ounces(Decimal("4.25"), market="us_soap")
    assert us_lot_test(label=label, weights_grams=weights, lot_size=40, on_date=DAY).outcome == "pass"
    assert us_lot_test(label=label, weights_grams=weights, lot_size=12, on_date=DAY).outcome == "fail"


@pytest.mark.parametrize(
    ("count", "lot", "refusal"),
    (
        (8, 40, "The plan needs 12 bars of this lot; 8 were weighed. Weigh the others."),
        (12, 11, "12 bars were weighed, but the lot has 11. Correct the size of the lot."),
    ),
)
def test_a_wrong_count_is_refused(count, lot, refusal):
    label = statement_for_ounces(Decimal("4.25"), market="us_soap")
    with pytest.raises(LotTestError) as caught:
        us_lot_test(label=label, weights_grams=[Decimal(121)] * count, lot_size=lot, on_date=DAY)
    assert str(caught.value) == refusal


ERRORS = (
    case("TN01", "45", "4.1", "40.9", "36.8"),
    case("TN02", "50", "4.5", "45.5", "41.0"),
    case("TN03", "75", "4.5", "70.5", "66.0"),
    case("TN04", "100", "4.5", "95.5", "91.0"),
    case("TN05", "115", "5.2", "109.8", "104.6"),
    case("TN06", "120", "5.4", "114.6", "109.2"),
    case("TN07", "200", "9.0", "191.0", "182.0"),
    case("TN08", "250", "9.0", "241.0", "232.0"),
    case("TN09", "400", "12.0", "388.0", "376.0"),
    case("TN10", "1000", "15.0", "985.0", "970.0"),
    case("TN11", "1500", "22.5", "1477.5", "1455.0"),
)


@pytest.mark.parametrize(("nominal", "error", "first", "second"), ERRORS)
def test_tolerable_error(nominal, error, first, second):
    found = tolerable_error(Decimal(nominal), DAY)
    assert (found.grams, found.first_limit_grams, found.second_limit_grams) == (
        Decimal(error),
        Decimal(first),
        Decimal(second),
    )


@pytest.mark.parametrize("nominal", ("4.9", "10001"))
def test_no_tolerance_outside_the_table(nominal):
    with pytest.raises(NetWeightError):
        tolerable_error(Decimal(nominal), DAY)


MEANS = (
    case("TB01", 120, "99.7", "1.2", "pass", "mean 99.7 g; limit 100 − 0.503 × s = 99.3964 g"),
    case("TB02", 120, "99.3", "1.2", "fail", "mean 99.3 g; limit 100 − 0.503 × s = 99.3964 g"),
    case("TB03", 80, "99.9", None, "fail", "mean 99.9 g; limit 100 − 0 × s = 100 g"),
)


@pytest.mark.parametrize(("batch", "mean", "deviation", "outcome", "working"), MEANS)
def test_eu_mean(batch, mean, deviation, outcome, working):
    check = eu_mean_check(
        nominal_grams=Decimal(100),
        mean_grams=Decimal(mean),
        stdev_grams=Decimal(deviation) if deviation else None,
        batch_size=batch,
        on_date=DAY,
    )
    assert (check.outcome, check.working) == (outcome, working)


def eu_outcomes(weights, batch):
    result = eu_lot_test(nominal_grams=Decimal(100), weights_grams=weights, batch_size=batch, on_date=DAY)
    return result.outcome, tuple(check.outcome for check in result.checks)


@pytest.mark.parametrize(
    ("weights", "batch", "outcomes"),
    (
        pytest.param("101 " * 36, 36, ("pass", ("pass", "pass", "pass")), id="36 bars, all over"),
        pytest.param("101 " * 35 + "95", 36, ("fail", ("pass", "fail", "pass")), id="36 bars, 2.5 percent is none"),
        pytest.param("101 " * 39 + "95", 40, ("pass", ("pass", "pass", "pass")), id="40 bars, 2.5 percent is one"),
        pytest.param("102 " * 39 + "90.9", 40, ("fail", ("pass", "pass", "fail")), id="one under twice the tolerance"),
        pytest.param("102 " * 39 + "91.0", 40, ("pass", ("pass", "pass", "pass")), id="exactly at twice the tolerance"),
        pytest.param("101 " * 29 + "95", 120, ("pass", ("pass", "pass", "pass")), id="first sample, one short"),
        pytest.param(
            "102 " * 28 + "95 95", 120, ("more", ("pass", "more", "pass")), id="first sample, two short: weigh more"
        ),
        pytest.param("102 " * 27 + "95 95 95", 120, ("fail", ("pass", "fail", "pass")), id="first sample, three short"),
        pytest.param(
            "102 " * 28 + "95 95 " + "101 " * 30, 120, ("pass", ("pass", "pass", "pass")), id="second sample passes"
        ),
        pytest.param(
            "102 " * 28 + "95 95 " + "101 " * 27 + "95 95 95",
            120,
            ("fail", ("pass", "fail", "pass")),
            id="second fails at 5",
        ),
    ),
)
def test_eu_lot(weights, batch, outcomes):
    """Numbers of the double sampling plan: Directive 76/211/EEC Annex II, from memory; lots worked by hand."""
    assert eu_outcomes(decimals(weights), batch) == outcomes


def test_small_eu_batches_are_weighed_whole():
    with pytest.raises(LotTestError) as caught:
        eu_outcomes(decimals("101 " * 30), 36)
    assert str(caught.value) == "The plan needs 36 bars of this lot; 30 were weighed. Weigh the others."
