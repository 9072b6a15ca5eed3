"""What the shop's own rules put on an order beside its bars: a rush, and what lifts a small order to the least.

Both are rows of their own on the sheet. A person may set another amount, or let one go; that row stays, at nothing.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from orders.money.order_sum import Fee
from orders.money.tax import ZERO
from soapshop.money import format_money, round_money


@dataclass(frozen=True)
class FeeRules:
    """The rules that an order carries. ``rush_days`` 0: nothing is a rush. ``minimum_order`` 0: no order is small."""

    currency: str
    rush_days: int = 0
    rush_percent: Decimal = ZERO
    minimum_order: Decimal = ZERO


@dataclass(frozen=True)
class FeeFacts:
    """``goods`` are the bars less the discount, ``lead_days`` the days from quote to hand-over.

    ``rush_set`` and ``small_set`` are amounts that a person set instead of the rule; None leaves it to the rule.
    """

    goods: Decimal
    lead_days: int
    rush_set: Decimal | None = None
    small_set: Decimal | None = None


@dataclass(frozen=True)
class HouseFee:
    """One fee: by the rule, and as charged."""

    name: str
    by_rule: Decimal
    charged: Decimal

    @property
    def is_let_go(self) -> bool:
        return self.charged < self.by_rule


def house_fees(facts: FeeFacts, rules: FeeRules) -> tuple[HouseFee, ...]:
    """Return the fees that the rules ask for or a person set."""
    return tuple(fee for fee in _fees(facts, rules) if fee.by_rule or fee.charged)


def fee_rows(fees: tuple[HouseFee, ...]) -> list[Fee]:
    """Return the fees as rows of the sum; one that was let go stays as a row at nothing."""
    return [Fee(fee.name if fee.charged else f"{fee.name}, let go", fee.charged) for fee in fees]


def _fees(facts: FeeFacts, rules: FeeRules) -> Iterator[HouseFee]:
    rush = rush_by_rule(facts, rules)
    words = f"Rush, {rules.rush_percent.normalize():f} %" if facts.rush_set is None and rush else "Rush"
    yield HouseFee(words, rush, rush if facts.rush_set is None else facts.rush_set)
    small = max(rules.minimum_order - facts.goods, ZERO)
    least = format_money(rules.minimum_order, currency=rules.currency)
    words = f"Small order, up to {least}" if facts.small_set is None and small else "Small order"
    yield HouseFee(words, small, small if facts.small_set is None else facts.small_set)


def rush_by_rule(facts: FeeFacts, rules: FeeRules) -> Decimal:
    """Return the fee for an order that is to be handed over sooner than the shop's usual days."""
    if not rules.rush_days or facts.lead_days >= rules.rush_days:
        return ZERO
    return round_money(facts.goods * rules.rush_percent / 100, currency=rules.currency)
