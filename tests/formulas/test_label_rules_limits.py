"""Scent limits, durability and record years: the IF, DU and MC rows of the check table."""

from datetime import date
from decimal import Decimal

import pytest

from formulas.label_rules.durability import durability_mark
from formulas.label_rules.rows import LabelRuleError
from formulas.label_rules.scent_limits import ScentCeiling, scent_use, standard_dates
from formulas.label_rules.us_records import record_duty
from tests.formulas.tables.label_cases import case

DAY = date(2026, 11, 1)


def use(grams: str, limit: str | None, *others: ScentCeiling):
    certificate = ScentCeiling("the certificate", Decimal(limit)) if limit else None
    return scent_use(
        "Hedge blossom",
        scent_grams=Decimal(grams),
        lowest_cured_mass_grams=Decimal(1350),
        certificate=certificate,
        others=others,
    )


@pytest.mark.parametrize(
    ("grams", "limit", "percent", "is_within", "most"),
    (
        case("IF01", "30", "5.2", "2.2222", True, "70.2"),
        case("IF02", "30", "2.0", "2.2222", False, "27.0"),
    ),
)
def test_scent_limit_on_the_lowest_cured_mass(grams, limit, percent, is_within, most):
    found = use(grams, limit)
    assert (round(found.use_percent, 4), found.is_within, found.most_grams) == (
        Decimal(percent),
        is_within,
        Decimal(most),
    )


@pytest.mark.parametrize(
    ("notified", "new", "existing"), (case("IF03", date(2023, 6, 30), date(2024, 3, 30), date(2025, 10, 30)),)
)
def test_dates_of_an_amendment(notified, new, existing):
    assert standard_dates(notified) == (new, existing)


def test_exactly_the_limit_is_within():
    """27 of 1350 g is 2 percent exactly (worked by hand)."""
    assert use("27", "2.0").problems == ()
    assert [problem.code for problem in use("27.01", "2.0").problems] == ["scent_over_limit"]


def test_no_certificate_is_not_unlimited():
    found = use("1", None)
    assert (found.is_within, [(p.level, p.code) for p in found.problems]) == (False, [("stop", "scent_limit_unknown")])


def test_the_strictest_of_three_ceilings_bites():
    """Certificate 5.2, assessed formula 3.2, house rule 3 percent (a workshop case): the 3 percent win."""
    assessed, house = ScentCeiling("the assessed formula", Decimal("3.2")), ScentCeiling("the house rule", Decimal(3))
    found = use("42", "5.2", assessed, house)
    assert found.limit == house
    assert found.problems[0].text == "Hedge blossom makes 3.1111 percent of the bar; the house rule allows 3."
    assert found.problems[0].mend == "Use at most 40.50 g in this batch."
    assert use("40", "5.2", assessed, house).problems == ()


def test_a_threshold_for_naming_is_no_limit():
    """An allergen is named above 0.01 percent; a certificate of 9.27 percent lets 3 percent stand (a workshop case)."""
    assert use("40.5", "9.27").is_within


@pytest.mark.parametrize(
    ("months", "relevant", "opened", "mark", "text"),
    (
        case("DU01", 24, None, None, "date", "Best used before the end of 07/2028"),
        case("DU02", 36, True, 12, "open_jar", "12M"),
    ),
)
def test_european_durability(months, relevant, opened, mark, text):
    found = durability_mark(
        minimum_months=months,
        made_on=date(2026, 8, 20),
        on_date=DAY,
        is_after_opening_relevant=relevant,
        after_opening_months=opened,
    )
    assert (found.mark, found.text) == (mark, text)


@pytest.mark.parametrize(
    ("months", "made", "end"),
    (
        pytest.param(24, date(2026, 8, 31), date(2028, 8, 31), id="made on a month's last day"),
        pytest.param(24, date(2026, 8, 30), date(2028, 7, 31), id="a day earlier"),
        pytest.param(30, date(2026, 8, 31), date(2029, 2, 28), id="30 months, into a short month"),
        pytest.param(18, date(2026, 8, 29), date(2028, 2, 29), id="into a leap day"),
        pytest.param(1, date(2026, 1, 15), date(2026, 1, 31), id="one month"),
    ),
)
def test_the_month_printed_is_never_late(months, made, end):
    """Worked by hand: the last whole month within the durability."""
    assert durability_mark(minimum_months=months, made_on=made, on_date=DAY).best_before_end == end


def test_what_only_the_assessor_knows_is_asked():
    asked = durability_mark(minimum_months=31, made_on=DAY, on_date=DAY)
    assert (asked.mark, asked.mend) == (
        "ask",
        "Ask the safety assessor whether a period after opening applies, and how long it is.",
    )
    assert durability_mark(minimum_months=31, made_on=DAY, on_date=DAY, is_after_opening_relevant=False).mark == "none"
    assert durability_mark(minimum_months=31, made_on=DAY, on_date=DAY, is_after_opening_relevant=True).mark == "ask"
    with pytest.raises(LabelRuleError):
        durability_mark(minimum_months=0, made_on=DAY, on_date=DAY)


@pytest.mark.parametrize(
    ("sales", "average", "is_small", "years"), (case("MC01", ("1020000", "980000", "970000"), "990000", True, 3),)
)
def test_us_small_business(sales, average, is_small, years):
    duty = record_duty([Decimal(figure) for figure in sales], DAY)
    assert (duty.average_sales_usd, duty.is_small_business, duty.report_years) == (Decimal(average), is_small, years)


def test_at_the_limit_or_with_eye_products_the_relief_is_gone():
    """FD&C Act s.612, read in summaries: under 1,000,000 USD, and not for products for the eye."""
    assert record_duty([Decimal(1000000)] * 3, DAY).report_years == 6
    assert record_duty([Decimal(1)] * 3, DAY, has_excluded_products=True).report_years == 6
    with pytest.raises(LabelRuleError):
        record_duty([Decimal(1)] * 2, DAY)


def test_before_the_act_there_is_no_rule():
    with pytest.raises(LabelRuleError):
        record_duty([Decimal(1)] * 3, date(2022, 12, 28))
