"""What an order costs: lines, fees, discount, tax, deposit and balance, adding up to the cent.

Rounding, in this order: a line is price a bar times bars (exact); the discount is rounded once and shared over the
lines by their amounts; tax is rounded by line or once for the paper; the deposit is rounded once, the balance is what
is left.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from orders.money.tax import ZERO, TaxedSum, TaxItem, TaxMode, TaxRounding, tax_items
from soapshop.money import allocate, round_money


class SumRefused(ValueError):
    """An order cannot be added up; the message says why and the mend."""


@dataclass(frozen=True)
class PricedLine:
    name: str
    bars: int
    price_per_bar: Decimal


@dataclass(frozen=True)
class Fee:
    """An amount beside the bars: a rush, a stamp made for the order, postage. A discount never lowers it."""

    name: str
    amount: Decimal


@dataclass(frozen=True)
class SumTerms:
    currency: str
    tax_mode: TaxMode = TaxMode.ON_TOP
    tax_rounding: TaxRounding = TaxRounding.PAPER
    tax_percent: Decimal = Decimal(0)
    discount_percent: Decimal = Decimal(0)
    discount_amount: Decimal = ZERO
    deposit_percent: Decimal = Decimal(50)


@dataclass(frozen=True)
class SumLine:
    """One row of a paper: as quoted, less its part of the discount, as net and tax."""

    name: str
    bars: int | None  # None: a fee
    price_per_bar: Decimal | None
    quoted: Decimal
    discount: Decimal
    net: Decimal
    tax: Decimal

    @property
    def gross(self) -> Decimal:
        return self.net + self.tax

    @property
    def charged(self) -> Decimal:
        """What stands in the amount column: as quoted, less the discount."""
        return self.quoted - self.discount


@dataclass(frozen=True)
class OrderSum:
    lines: tuple[SumLine, ...]
    goods: Decimal
    fees: Decimal
    discount: Decimal
    taxed: TaxedSum
    deposit: Decimal

    @property
    def net(self) -> Decimal:
        return self.taxed.net

    @property
    def tax(self) -> Decimal:
        return self.taxed.tax

    @property
    def total(self) -> Decimal:
        return self.taxed.gross

    @property
    def balance(self) -> Decimal:
        return self.total - self.deposit


def order_sum(lines: Sequence[PricedLine], fees: Sequence[Fee], terms: SumTerms) -> OrderSum:
    if not lines:
        raise SumRefused("There is no line to add up. Add a line to the order first.")
    amounts = tuple(line.price_per_bar * line.bars for line in lines)
    goods = sum(amounts, ZERO)
    discount = discount_of(goods, terms)
    shares = allocate(discount, amounts, currency=terms.currency) if discount else (ZERO,) * len(lines)
    items = [
        TaxItem(line.name, amount - share, terms.tax_percent)
        for line, amount, share in zip(lines, amounts, shares, strict=True)
    ] + [TaxItem(fee.name, fee.amount, terms.tax_percent) for fee in fees]
    taxed = tax_items(items, mode=terms.tax_mode, rounding=terms.tax_rounding, currency=terms.currency)
    rows = [
        SumLine(line.name, line.bars, line.price_per_bar, amount, share, item.net, item.tax)
        for line, amount, share, item in zip(lines, amounts, shares, taxed.items[: len(lines)], strict=True)
    ] + [
        SumLine(fee.name, None, None, fee.amount, ZERO, item.net, item.tax)
        for fee, item in zip(fees, taxed.items[len(lines) :], strict=True)
    ]
    deposit = round_money(taxed.gross * terms.deposit_percent / 100, currency=terms.currency)
    return OrderSum(tuple(rows), goods, sum((fee.amount for fee in fees), ZERO), discount, taxed, deposit)


def discount_of(goods: Decimal, terms: SumTerms) -> Decimal:
    """Return the discount on the bars: the percent first, then the fixed amount."""
    if not 0 <= terms.discount_percent <= 100 or terms.discount_amount < 0:
        raise SumRefused("A discount lies from 0 to 100 percent, or is an amount above nothing. Correct it.")
    discount = round_money(goods * terms.discount_percent / 100, currency=terms.currency) + terms.discount_amount
    if discount > goods:
        raise SumRefused("The discount is larger than the price of the bars. Make it smaller.")
    return discount
