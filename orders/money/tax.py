"""Tax on a list of amounts: on top of the price or inside it, rounded line by line or once for the paper.

Whatever the mode, ``net + tax == gross`` on every line and in the sum, and the lines add up to the sum to the cent.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from soapshop.money import allocate, round_money

ZERO = Decimal("0.00")


class TaxMode(StrEnum):
    ON_TOP = "on_top"
    INSIDE = "inside"


class TaxRounding(StrEnum):
    LINE = "line"
    PAPER = "paper"


class TaxRefused(ValueError):
    """Tax cannot be worked out; the message says why and the mend."""


@dataclass(frozen=True)
class TaxItem:
    """An amount as it was quoted: without tax when tax comes on top, with tax when it is inside."""

    name: str
    amount: Decimal
    rate_percent: Decimal = Decimal(0)


@dataclass(frozen=True)
class TaxedItem:
    name: str
    rate_percent: Decimal
    net: Decimal
    tax: Decimal

    @property
    def gross(self) -> Decimal:
        return self.net + self.tax


@dataclass(frozen=True)
class RateSum:
    """What was charged at one rate, for the foot of a paper."""

    rate_percent: Decimal
    net: Decimal
    tax: Decimal


@dataclass(frozen=True)
class TaxedSum:
    items: tuple[TaxedItem, ...]

    @property
    def net(self) -> Decimal:
        return sum((item.net for item in self.items), ZERO)

    @property
    def tax(self) -> Decimal:
        return sum((item.tax for item in self.items), ZERO)

    @property
    def gross(self) -> Decimal:
        return self.net + self.tax

    @property
    def rates(self) -> tuple[RateSum, ...]:
        found: dict[Decimal, RateSum] = {}
        for item in self.items:
            before = found.get(item.rate_percent, RateSum(item.rate_percent, ZERO, ZERO))
            found[item.rate_percent] = RateSum(item.rate_percent, before.net + item.net, before.tax + item.tax)
        return tuple(found[rate] for rate in sorted(found))


def tax_items(items: Sequence[TaxItem], *, mode: TaxMode, rounding: TaxRounding, currency: str) -> TaxedSum:
    """Return each amount as net and tax. Amounts are whole cents and not below nothing."""
    _refuse(items, currency)
    taxes = [ZERO] * len(items)
    if rounding == TaxRounding.LINE:
        taxes = [tax_part(item.amount, item.rate_percent, mode=mode, currency=currency) for item in items]
    else:
        for rate in {item.rate_percent for item in items}:
            _share_tax(items, taxes, rate, mode=mode, currency=currency)
    return TaxedSum(tuple(_taxed(item, tax, mode) for item, tax in zip(items, taxes, strict=True)))


def tax_part(amount: Decimal, rate_percent: Decimal, *, mode: TaxMode, currency: str) -> Decimal:
    """Return the tax on top of an amount, or the tax inside it, rounded to the cent."""
    base = Decimal(100) if mode == TaxMode.ON_TOP else 100 + rate_percent
    return round_money(amount * rate_percent / base, currency=currency)


def _share_tax(items: Sequence[TaxItem], taxes: list[Decimal], rate: Decimal, *, mode: TaxMode, currency: str) -> None:
    """Round the tax of one rate once, then give each line its part of that rounded tax."""
    places = [index for index, item in enumerate(items) if item.rate_percent == rate]
    weights = tuple(items[index].amount for index in places)
    whole = sum(weights, ZERO)
    if not whole:
        return
    tax = tax_part(whole, rate, mode=mode, currency=currency)
    for index, share in zip(places, allocate(tax, weights, currency=currency), strict=True):
        taxes[index] = share


def _taxed(item: TaxItem, tax: Decimal, mode: TaxMode) -> TaxedItem:
    net = item.amount if mode == TaxMode.ON_TOP else item.amount - tax
    return TaxedItem(item.name, item.rate_percent, net, tax)


def _refuse(items: Sequence[TaxItem], currency: str) -> None:
    for item in items:
        if item.amount < 0 or item.amount != round_money(item.amount, currency=currency):
            raise TaxRefused(f"{item.name}: an amount is a whole number of cents and not below nothing. Correct it.")
        if not 0 <= item.rate_percent <= 100:
            raise TaxRefused(f"{item.name}: a tax rate lies from 0 to 100 percent. Correct it in the table of rates.")
