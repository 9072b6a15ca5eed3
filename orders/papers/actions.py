"""Give an order a paper: freeze what it says, take the next number, never change it again."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from orders.actions import note_order
from orders.models import HouseTerms, Order, Paper, Payment
from orders.money.actions import quote_charges
from orders.money.payments import PaymentRefused
from orders.money.reads import account_now
from orders.papers.making import may_issue, paper_record
from orders.papers.records import CustomerPaper
from soapshop.frozen_json import from_json, to_json
from soapshop.models import User, Workshop
from soapshop.money import format_money
from soapshop.numbering import next_number
from soapshop.paper import PaperRefused
from soapshop.paper_words import exact_words

Kind = Paper.Kind
# Each kind counts by itself and without gaps, as bookkeeping wants it for invoices and credit notes.
LETTERS = {
    Kind.QUOTE: "Q",
    Kind.CONFIRMATION: "C",
    Kind.INVOICE: "I",
    Kind.RECEIPT: "R",
    Kind.CREDIT_NOTE: "N",
    Kind.PACKING_LIST: "P",
}
# Of these an order has one that counts; a later one says which it replaces.
ONE_COUNTS = (Kind.QUOTE, Kind.CONFIRMATION, Kind.INVOICE, Kind.PACKING_LIST)


class PaperIssueRefused(Exception):
    """A paper cannot be given out; the message says why and the mend."""


@transaction.atomic
def issue_paper(
    *,
    order_id: int,
    kind: str,
    on: date,
    by: User,
    words: str = "",
    amount: Decimal | None = None,
    payment_id: int | None = None,
    typed_once: UUID | None = None,
) -> Paper:
    """Freeze a paper and number it. Words the typeface cannot print are refused before a number is taken."""
    Order.objects.select_for_update().get(pk=order_id)
    if typed_once is not None and (taken := Paper.objects.filter(typed_once=typed_once).first()) is not None:
        return taken
    order = Order.objects.for_page().select_related("customer", "charges").get(pk=order_id)
    record, before = _record(kind, order, on=on, words=words, amount=amount, payment_id=payment_id)
    paper = Paper.objects.create(
        order=order,
        kind=kind,
        number=record.number,
        issued_on=on,
        amount=record.amount if record.amount is not None else record.sheet.total,
        frozen=to_json(record),
        replaces=before,
        payment_id=payment_id if kind == Kind.RECEIPT else None,
        typed_once=typed_once,
        issued_by=by,
    )
    told = f", replacing {before.number}" if before else ""
    note_order(order=order, by=by, verb="issue_paper", text=f"{paper}{told}.", after={"number": paper.number})
    return paper


def _record(
    kind: str, order: Order, *, on: date, words: str, amount: Decimal | None, payment_id: int | None
) -> tuple[CustomerPaper, Paper | None]:
    if (reason := may_issue(kind, order)) is not None:
        raise PaperIssueRefused(reason)
    workshop, terms = Workshop.current(), HouseTerms.current()
    if kind == Kind.QUOTE:
        quote_charges(order_id=order.pk, on=on)
    account = account_now(order, today=on)
    if account.refusal:
        raise PaperIssueRefused(account.refusal)
    payment = _receipted(order, payment_id) if kind == Kind.RECEIPT else None
    if kind == Kind.CREDIT_NOTE:
        _judge_credit(amount, words, account.claim.total - account.standing.credited, workshop.currency)
    record = paper_record(
        kind, order, account, workshop=workshop, terms=terms, on=on, words=words, amount=amount, payment=payment
    )
    before = _standing_paper(order, kind) if kind in ONE_COUNTS else None
    if before is not None:
        _refuse_the_same(record, before)
        day = f"{before.issued_on:%b} {before.issued_on.day}, {before.issued_on.year}"
        record = replace(record, replaces=f"This paper replaces {before.number} of {day}, which no longer counts.")
    try:
        exact_words(record)
    except PaperRefused as refusal:
        raise PaperIssueRefused(str(refusal)) from refusal
    count = next_number(f"paper-{kind}")
    return replace(record, number=f"{LETTERS[Kind(kind)]}-{count:04d}"), before


def _standing_paper(order: Order, kind: str) -> Paper | None:
    return Paper.objects.filter(order=order, kind=kind, replaced_by__isnull=True).order_by("-pk").first()


def _refuse_the_same(record: CustomerPaper, before: Paper) -> None:
    kept = from_json(CustomerPaper, before.frozen)
    as_then = replace(record, number=kept.number, issued_on=kept.issued_on, replaces=kept.replaces)
    if as_then == kept:
        raise PaperIssueRefused(f"Nothing has changed since {before}. Print that one again.")


def _receipted(order: Order, payment_id: int | None) -> Payment:
    payment = order.payments.filter(pk=payment_id or 0, kind=Payment.Kind.PAYMENT).first()
    if payment is None:
        raise PaperIssueRefused("A receipt is for one payment. Choose the payment it is for.")
    receipt = Paper.objects.filter(payment=payment).first()
    if receipt is not None:
        raise PaperIssueRefused(f"That payment has its receipt, {receipt.number}. Print that one again.")
    return payment


def _judge_credit(amount: Decimal | None, words: str, left: Decimal, currency: str) -> None:
    if amount is None or amount <= 0:
        raise PaymentRefused("A credit is more than nothing. Type the amount.")
    if amount > left:
        raise PaymentRefused(f"Only {format_money(left, currency=currency)} is asked for. Credit no more than that.")
    if not words.strip():
        raise PaymentRefused("Say in a few words what the credit is for. It stands on the paper.")
