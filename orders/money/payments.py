"""Where an order stands: what it costs, what was paid and paid back, what is due and since when."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from orders.money.tax import ZERO
from soapshop.money import format_money


class EntryKind(StrEnum):
    PAYMENT = "payment"
    REFUND = "refund"


class PaymentRefused(Exception):
    """Money cannot be written down this way; the message says why and the mend."""


@dataclass(frozen=True)
class Entry:
    """One movement of money. The amount is above nothing; the kind says which way it went."""

    on: date
    kind: EntryKind
    amount: Decimal
    words: str = ""


@dataclass(frozen=True)
class Credit:
    """An amount that is no longer asked for: a credit note, or what a cancellation lets go."""

    on: date
    amount: Decimal
    words: str


@dataclass(frozen=True)
class Claim:
    """What the customer agreed to pay, and by when."""

    total: Decimal
    deposit: Decimal
    agreed_on: date | None = None
    deposit_due_on: date | None = None
    balance_due_on: date | None = None


@dataclass(frozen=True)
class Standing:
    total: Decimal
    credited: Decimal
    paid: Decimal
    refunded: Decimal
    deposit_open: Decimal
    due_now: Decimal
    due_since: date | None

    @property
    def held(self) -> Decimal:
        """The customer's money in the shop's till."""
        return self.paid - self.refunded

    @property
    def balance(self) -> Decimal:
        """What is still to be paid; below nothing when the shop owes the customer."""
        return self.total - self.credited - self.held

    @property
    def credit_left(self) -> Decimal:
        """What the shop owes the customer."""
        return max(-self.balance, ZERO)

    @property
    def is_overdue(self) -> bool:
        return self.due_now > 0

    @property
    def is_settled(self) -> bool:
        return self.balance == 0

    @property
    def may_hand_over(self) -> bool:
        return self.balance <= 0


@dataclass(frozen=True)
class LedgerRow:
    on: date | None
    words: str
    asked: Decimal | None
    paid: Decimal | None
    balance: Decimal


def standing(claim: Claim, entries: Sequence[Entry], credits: Sequence[Credit], *, today: date) -> Standing:
    """Return where the order stands. An amount is due from its day on; overdue means the day has passed."""
    paid = _sum(entries, EntryKind.PAYMENT)
    refunded = _sum(entries, EntryKind.REFUND)
    credited = sum((credit.amount for credit in credits), ZERO)
    held, owed = paid - refunded, claim.total - credited
    deposit_open = max(min(claim.deposit, owed) - held, ZERO)
    due, since = ZERO, None
    if claim.deposit_due_on is not None and claim.deposit_due_on < today and deposit_open:
        due, since = deposit_open, claim.deposit_due_on
    if claim.balance_due_on is not None and claim.balance_due_on < today and owed > held:
        due, since = owed - held, since or claim.balance_due_on
    return Standing(claim.total, credited, paid, refunded, deposit_open, due, since)


def ledger(claim: Claim, entries: Sequence[Entry], credits: Sequence[Credit]) -> tuple[LedgerRow, ...]:
    """Return the order's account line by line with the balance after each; the last is what is still to be paid."""
    balance = claim.total
    rows = [LedgerRow(claim.agreed_on, "Order agreed", claim.total, None, balance)]
    things: list[Credit | Entry] = [*credits, *entries]
    for thing in sorted(things, key=lambda each: each.on):
        if isinstance(thing, Credit):
            balance -= thing.amount
            rows.append(LedgerRow(thing.on, thing.words, -thing.amount, None, balance))
        else:
            amount = thing.amount if thing.kind == EntryKind.PAYMENT else -thing.amount
            balance -= amount
            rows.append(LedgerRow(thing.on, thing.words, None, amount, balance))
    return tuple(rows)


def judge_payment(amount: Decimal, now: Standing, *, currency: str) -> None:
    if amount <= 0:
        raise PaymentRefused("A payment is more than nothing. Type the amount that came in.")
    if amount > now.balance:
        asked = format_money(max(now.balance, ZERO), currency=currency)
        raise PaymentRefused(f"Only {asked} is still to be paid. Type no more than that, or add a line to the order.")


def judge_refund(amount: Decimal, now: Standing, *, currency: str) -> None:
    if amount <= 0:
        raise PaymentRefused("A refund is more than nothing. Type the amount that was paid back.")
    if amount > now.held:
        held = format_money(now.held, currency=currency)
        raise PaymentRefused(f"The customer has {held} with the shop. No more than that can be paid back.")


def _sum(entries: Sequence[Entry], kind: EntryKind) -> Decimal:
    return sum((entry.amount for entry in entries if entry.kind == kind), ZERO)
