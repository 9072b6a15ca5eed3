"""Tax on top and inside, by line and by paper. Expected figures worked by hand."""

from decimal import Decimal

import pytest

from orders.money.tax import TaxedSum, TaxItem, TaxMode, TaxRefused, TaxRounding, tax_items


def taxed(
    *pairs: tuple[str, str], mode: TaxMode = TaxMode.ON_TOP, rounding: TaxRounding = TaxRounding.PAPER
) -> TaxedSum:
    items = [TaxItem(f"line {n}", Decimal(amount), Decimal(rate)) for n, (amount, rate) in enumerate(pairs, 1)]
    return tax_items(items, mode=mode, rounding=rounding, currency="USD")


@pytest.mark.parametrize(
    ("mode", "net", "tax", "gross"),
    (
        pytest.param(TaxMode.ON_TOP, "40.00", "4.04", "44.04", id="case-C88, worked by hand: 40 x 0.101"),
        pytest.param(TaxMode.INSIDE, "36.33", "3.67", "40.00", id="case-C88, worked by hand: 40 / 1.101 = 36.330"),
    ),
)
def test_tax_on_top_of_and_inside_forty(mode, net, tax, gross):
    whole = taxed(("40.00", "10.1"), mode=mode)
    assert (whole.net, whole.tax, whole.gross) == (Decimal(net), Decimal(tax), Decimal(gross))


@pytest.mark.parametrize(
    ("rounding", "tax"),
    (
        # 3 x 0.99 at 7.25 %: a line is 0.0718 -> 0.07, three are 0.21; the paper is 0.2153 -> 0.22
        pytest.param(TaxRounding.LINE, "0.21", id="worked by hand: rounded on each line"),
        pytest.param(TaxRounding.PAPER, "0.22", id="worked by hand: rounded once"),
    ),
)
def test_rounding_by_line_and_by_paper_differ(rounding, tax):
    whole = taxed(("0.99", "7.25"), ("0.99", "7.25"), ("0.99", "7.25"), rounding=rounding)
    assert whole.tax == Decimal(tax)
    assert sum(item.tax for item in whole.items) == Decimal(tax)


def test_the_cent_left_over_goes_to_the_first_line_that_lost_most():
    whole = taxed(("0.99", "7.25"), ("0.99", "7.25"), ("0.99", "7.25"))
    assert [item.tax for item in whole.items] == [Decimal("0.08"), Decimal("0.07"), Decimal("0.07")]


def test_each_rate_has_its_own_sum():
    whole = taxed(("100.00", "20"), ("50.00", "5"), ("20.00", "20"))
    assert [(rate.rate_percent, rate.net, rate.tax) for rate in whole.rates] == [
        (Decimal(5), Decimal("50.00"), Decimal("2.50")),
        (Decimal(20), Decimal("120.00"), Decimal("24.00")),
    ]


def test_a_half_cent_goes_up():
    assert taxed(("0.50", "1")).tax == Decimal("0.01")  # 0.005, commercial rounding


@pytest.mark.parametrize("amount", ("-1.00", "1.005"))
def test_an_amount_below_nothing_or_with_parts_of_a_cent_is_refused(amount):
    with pytest.raises(TaxRefused, match="line 1: an amount is a whole number of cents"):
        taxed((amount, "5"))


def test_a_rate_above_a_hundred_is_refused_and_a_hundred_is_not():
    assert taxed(("1.00", "100")).gross == Decimal("2.00")
    with pytest.raises(TaxRefused, match="a tax rate lies from 0 to 100 percent"):
        taxed(("1.00", "100.1"))


def test_nothing_to_tax_is_nothing():
    assert taxed(("0.00", "20")).gross == Decimal("0.00")
