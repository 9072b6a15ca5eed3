"""An order added up to the cent. Worked by hand; the random orders check that parts meet their sums."""

import random
from decimal import Decimal

import pytest

from orders.money.order_sum import Fee, PricedLine, SumRefused, SumTerms, order_sum
from orders.money.payments import Claim, Entry, EntryKind, ledger, standing
from orders.money.tax import TaxMode, TaxRounding

CURRENCIES = ("USD", "EUR", "JPY")


def terms(**changes: object) -> SumTerms:
    return SumTerms(**{"currency": "USD", **changes})


def test_a_wedding_order_worked_by_hand():
    # 36 x 7.90 = 284.40; 10 % off = 28.44 -> 255.96; stamp 18.00; net 273.96; 8.25 % = 22.6017 -> 22.60; half of 296.56
    whole = order_sum(
        [PricedLine("Two Tides", 36, Decimal("7.90"))],
        [Fee("Stamp", Decimal("18.00"))],
        terms(discount_percent=Decimal(10), tax_percent=Decimal("8.25")),
    )
    assert (whole.goods, whole.discount, whole.fees) == (Decimal("284.40"), Decimal("28.44"), Decimal("18.00"))
    assert (whole.net, whole.tax, whole.total) == (Decimal("273.96"), Decimal("22.60"), Decimal("296.56"))
    assert (whole.deposit, whole.balance) == (Decimal("148.28"), Decimal("148.28"))


def test_tax_inside_leaves_the_quoted_price_as_the_total():
    # 20 x 6.00 = 120.00 with 20 % inside: 120 / 1.2 = 100.00
    whole = order_sum(
        [PricedLine("Oat", 20, Decimal("6.00"))], [], terms(tax_mode=TaxMode.INSIDE, tax_percent=Decimal(20))
    )
    assert (whole.net, whole.tax, whole.total) == (Decimal("100.00"), Decimal("20.00"), Decimal("120.00"))


def test_an_odd_cent_of_the_deposit_stays_in_the_balance_due():
    whole = order_sum([PricedLine("Oat", 1, Decimal("6.51"))], [], terms())
    assert (whole.deposit, whole.balance) == (Decimal("3.26"), Decimal("3.25"))  # 3.255 rounds up


def test_a_discount_never_lowers_a_fee():
    lines, fees = [PricedLine("Oat", 10, Decimal("6.00"))], [Fee("Postage", Decimal("9.00"))]
    whole = order_sum(lines, fees, terms(discount_percent=Decimal(100)))
    assert (whole.discount, whole.total) == (Decimal("60.00"), Decimal("9.00"))


def test_a_discount_larger_than_the_bars_is_refused():
    lines = [PricedLine("Oat", 10, Decimal("6.00"))]
    assert order_sum(lines, [], terms(discount_amount=Decimal("60.00"))).total == 0
    with pytest.raises(SumRefused, match="The discount is larger than the price of the bars"):
        order_sum(lines, [], terms(discount_amount=Decimal("60.01")))


def test_an_order_without_lines_is_refused():
    with pytest.raises(SumRefused, match="There is no line to add up"):
        order_sum([], [], terms())


def _random_order(dice: random.Random) -> tuple[list[PricedLine], list[Fee], SumTerms]:
    currency = dice.choice(CURRENCIES)
    coins = 100 if currency != "JPY" else 1
    lines = [
        PricedLine(f"line {n}", dice.randint(1, 300), Decimal(dice.randint(0, 2000)) / coins)
        for n in range(dice.randint(1, 6))
    ]
    fees = [Fee(f"fee {n}", Decimal(dice.randint(0, 5000)) / coins) for n in range(dice.randint(0, 3))]
    return (
        lines,
        fees,
        SumTerms(
            currency=currency,
            tax_mode=dice.choice(tuple(TaxMode)),
            tax_rounding=dice.choice(tuple(TaxRounding)),
            tax_percent=Decimal(dice.randint(0, 2700)) / 100,
            discount_percent=Decimal(dice.randint(0, 4000)) / 100,
            deposit_percent=Decimal(dice.randint(0, 100)),
        ),
    )


def test_ten_thousand_random_orders_add_up(today):
    dice = random.Random(1842)  # a fixed seed: the same orders each time
    for _ in range(10_000):
        lines, fees, given = _random_order(dice)
        whole = order_sum(lines, fees, given)
        assert sum(line.net for line in whole.lines) == whole.net
        assert sum(line.tax for line in whole.lines) == whole.tax
        assert sum(line.gross for line in whole.lines) == whole.total == whole.net + whole.tax
        assert sum(line.discount for line in whole.lines) == whole.discount
        assert sum(rate.tax for rate in whole.taxed.rates) == whole.tax
        quoted = whole.goods + whole.fees - whole.discount
        assert quoted == (whole.total if given.tax_mode == TaxMode.INSIDE else whole.net)
        assert min(line.net for line in whole.lines) >= 0
        assert whole.deposit + whole.balance == whole.total
        _pay_in_parts(whole.total, whole.deposit, dice, today)


def _pay_in_parts(total: Decimal, deposit: Decimal, dice: random.Random, today) -> None:
    claim, entries, left = Claim(total, deposit, agreed_on=today), [], total
    if deposit:
        entries.append(Entry(today, EntryKind.PAYMENT, deposit))
        left -= deposit
    if left > 1 and dice.random() < 0.3:
        entries += [Entry(today, EntryKind.PAYMENT, Decimal(1)), Entry(today, EntryKind.REFUND, Decimal(1))]
    if left:
        entries.append(Entry(today, EntryKind.PAYMENT, left))
    now = standing(claim, entries, [], today=today)
    assert now.balance == 0
    assert now.held == total
    assert ledger(claim, entries, [])[-1].balance == 0
