"""What a cancellation costs, by stage and by day, explained line by line.

The terms are the workshop's own. Common practice among makers to order, no published source: all is paid back before
anything was agreed; part of the deposit until the change cut-off; the deposit after it; all once the bars are made.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from orders.money.tax import ZERO
from orders.order_states import OrderState
from soapshop.money import format_money, round_money


@dataclass(frozen=True)
class CancelTerms:
    """Each percent says what the shop keeps: of the deposit before work, of the whole price once work began."""

    currency: str
    early_percent_of_deposit: Decimal = Decimal(0)
    late_percent_of_deposit: Decimal = Decimal(100)
    begun_percent_of_total: Decimal = Decimal(100)


@dataclass(frozen=True)
class CancelFacts:
    stage: OrderState
    on: date
    cut_off: date | None
    total: Decimal
    deposit: Decimal
    held: Decimal  # paid less paid back


@dataclass(frozen=True)
class CancelLine:
    words: str
    amount: Decimal


@dataclass(frozen=True)
class Cancellation:
    keep: Decimal
    pay_back: Decimal
    still_owed: Decimal
    waived: Decimal
    lines: tuple[CancelLine, ...]


BEFORE_AGREED = (OrderState.ENQUIRY, OrderState.QUOTED)


def cancellation(facts: CancelFacts, terms: CancelTerms) -> Cancellation:
    """Return what the shop keeps, what goes back and what is still owed; the lines are the sum in words."""
    percent, base, why = _share(facts, terms)
    keep = round_money(base * percent / 100, currency=terms.currency)
    pay_back = max(facts.held - keep, ZERO)
    owed = max(keep - facts.held, ZERO)
    lines = [
        CancelLine("Price agreed", facts.total),
        CancelLine("Paid so far, less what was paid back", facts.held),
        CancelLine(why, keep),
        CancelLine("Paid back to the customer", pay_back) if not owed else CancelLine("Still owed to the shop", owed),
    ]
    return Cancellation(keep, pay_back, owed, facts.total - keep, tuple(lines))


def _share(facts: CancelFacts, terms: CancelTerms) -> tuple[Decimal, Decimal, str]:
    total = format_money(facts.total, currency=terms.currency)
    deposit = format_money(facts.deposit, currency=terms.currency)
    if facts.stage in BEFORE_AGREED:
        return ZERO, ZERO, "Kept: nothing, for nothing was agreed yet"
    if facts.stage == OrderState.ACCEPTED:
        is_early = facts.cut_off is not None and facts.on <= facts.cut_off
        percent = terms.early_percent_of_deposit if is_early else terms.late_percent_of_deposit
        when = "up to" if is_early else "after"
        day = (
            f"the change cut-off, {facts.cut_off:%b} {facts.cut_off.day}"
            if facts.cut_off
            else "the cut-off (no day set)"
        )
        return percent, facts.deposit, f"Kept: {_plain(percent)} % of the deposit of {deposit}, {when} {day}"
    percent = terms.begun_percent_of_total
    return percent, facts.total, f"Kept: {_plain(percent)} % of {total}, for work on the bars has begun"


def _plain(number: Decimal) -> str:
    return f"{number.normalize():f}"
