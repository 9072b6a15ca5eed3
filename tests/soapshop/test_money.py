from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from soapshop.money import MoneyRefused, allocate, format_money, round_money

CENTS = st.decimals(min_value=-100_000, max_value=100_000, places=2)
WEIGHTS = st.lists(st.decimals(min_value=0, max_value=1000, places=3), min_size=1, max_size=30)


@pytest.mark.parametrize(
    ("amount", "currency", "expected"),
    (
        ("1234.5", "USD", "$1,234.50"),
        ("0.005", "USD", "$0.01"),
        ("-5", "USD", "−$5.00"),
        ("-0.004", "USD", "$0.00"),
        ("12", "EUR", "€12.00"),
        ("1234.5", "JPY", "¥1,235"),
        ("1234.5", "SEK", "1,234.50 SEK"),
    ),
)
def test_format_money(amount, currency, expected):
    assert format_money(Decimal(amount), currency=currency) == expected


def test_rounding_is_commercial():
    assert round_money(Decimal("2.345"), currency="USD") == Decimal("2.35")
    assert round_money(Decimal("-2.345"), currency="USD") == Decimal("-2.35")


def test_unknown_currency_is_refused_with_the_known_ones():
    with pytest.raises(MoneyRefused, match="Choose one of: AUD, CAD"):
        format_money(Decimal(1), currency="XYZ")


@pytest.mark.parametrize(
    ("total", "weights", "expected"),
    (
        # Worked by hand: the coin left over goes to the earliest of those who lost the same.
        ("10.00", ("1", "1", "1"), ("3.34", "3.33", "3.33")),
        ("0.05", ("1", "1"), ("0.03", "0.02")),
        ("100.00", ("50", "30", "20"), ("50.00", "30.00", "20.00")),
        # 0.01 over 1 : 2; the second loses two thirds of a cent, the first one third.
        ("0.01", ("1", "2"), ("0.00", "0.01")),
        ("-10.00", ("1", "1", "1"), ("-3.34", "-3.33", "-3.33")),
        ("7.00", ("0", "1"), ("0.00", "7.00")),
    ),
)
def test_allocation(total, weights, expected):
    parts = allocate(Decimal(total), tuple(map(Decimal, weights)), currency="USD")
    assert parts == tuple(map(Decimal, expected))


@given(total=CENTS, weights=WEIGHTS.filter(lambda weights: sum(weights) > 0))
def test_parts_add_up_and_none_is_a_cent_off(total, weights):
    parts = allocate(total, tuple(weights), currency="USD")
    assert sum(parts) == total
    exact = [total * weight / sum(weights) for weight in weights]
    assert all(abs(part - share) < Decimal("0.0100001") for part, share in zip(parts, exact, strict=True))


@pytest.mark.parametrize("weights", ((), ("0", "0"), ("-1", "2")))
def test_weights_that_share_nothing_out_are_refused(weights):
    with pytest.raises(MoneyRefused, match="at least one counts more than nothing"):
        allocate(Decimal(1), tuple(map(Decimal, weights)), currency="USD")


def test_a_total_with_parts_of_a_coin_is_refused():
    with pytest.raises(MoneyRefused, match="Round the sum first"):
        allocate(Decimal("1.005"), (Decimal(1),), currency="USD")
