"""From an order's rows to the record that a paper of one kind is drawn from."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

from orders.agreement.pour_days import change_cut_off
from orders.agreement.records import sheet_of
from orders.models import HouseTerms, Order, OrderCharges, Paper, Payment
from orders.money.records import NOT_AGREED, OrderAccount
from orders.money.tax import TaxMode, tax_part
from orders.papers.records import CustomerPaper, PaidRow, TaxRow
from soapshop.models import Workshop

Kind = Paper.Kind


def paper_record(
    kind: str,
    order: Order,
    account: OrderAccount,
    *,
    workshop: Workshop,
    terms: HouseTerms,
    on: date,
    words: str = "",
    amount: Decimal | None = None,
    payment: Payment | None = None,
) -> CustomerPaper:
    """Return the record without its number. Fetch the order with ``for_page()``; the account must add up."""
    assert account.sum is not None
    sheet = sheet_of(order, account.charges, account.sum, account.claim, currency=workshop.currency)
    cut_off = change_cut_off(order, workshop=workshop, cut_off_days=terms.cut_off_days)
    customer = order.customer
    paper = CustomerPaper(
        kind=kind,
        title=Kind(kind).label,
        number="",
        issued_on=on,
        shop_name=workshop.maker_name or workshop.name,
        shop_lines=tuple(line for line in (*workshop.address_lines, workshop.email, workshop.phone) if line),
        customer_lines=(customer.name, *(line.strip() for line in customer.address.splitlines() if line.strip())),
        sheet=replace(sheet, change_until=cut_off),
        paper_size=workshop.paper_size,
        tax_number=terms.tax_number,
        words=words,
        foot_words=terms.paper_words,
    )
    if kind == Kind.QUOTE:
        return replace(paper, terms=_quote_terms(account.charges))
    if kind == Kind.CONFIRMATION:
        return replace(paper, terms=_agreed_terms(cut_off, terms))
    if kind == Kind.INVOICE:
        return replace(
            paper,
            taxes=tuple(TaxRow(rate.rate_percent, rate.net, rate.tax) for rate in account.sum.taxed.rates),
            paid=_paid(order),
            to_be_paid=account.standing.balance,
        )
    if kind == Kind.RECEIPT and payment is not None:
        way = payment.get_way_display().lower() + (f", {payment.note}" if payment.note else "")
        received = f"Received on {payment.on:%b} {payment.on.day}, {payment.on.year}: {way}."
        return replace(
            paper, words=words or received, amount=payment.amount, to_be_paid=max(account.standing.balance, Decimal(0))
        )
    if kind == Kind.CREDIT_NOTE and amount is not None:
        tax = tax_part(amount, account.charges.tax_percent, mode=TaxMode.INSIDE, currency=workshop.currency)
        return replace(paper, amount=amount, amount_tax=tax)
    return paper


def _paid(order: Order) -> tuple[PaidRow, ...]:
    return tuple(
        PaidRow(entry.on, entry.words, entry.amount if entry.kind == Payment.Kind.PAYMENT else -entry.amount)
        for entry in order.payments.all()
    )


def _quote_terms(charges: OrderCharges) -> tuple[str, ...]:
    until = charges.valid_until
    good = f"This quote is good until {until:%b} {until.day}, {until.year}. " if until else ""
    return (
        f"{good}It holds no place in the plan until the deposit is in.",
        "No two bars are alike; color and weight vary a little from bar to bar.",
    )


def _agreed_terms(cut_off: date, terms: HouseTerms) -> tuple[str, ...]:
    day = f"{cut_off:%b} {cut_off.day}, {cut_off.year}"
    return (
        f"Changes can be made until {day}. After that they may cost extra or be too late.",
        f"Cancelled until {day}, the shop keeps {_plain(terms.early_percent_of_deposit)} % of the deposit; "
        f"after that {_plain(terms.late_percent_of_deposit)} % of it; "
        f"once work on the bars has begun {_plain(terms.begun_percent_of_total)} % of the price.",
        "The balance is due before the bars are handed over.",
        "Please check names, dates and wording letter by letter: they are made as they stand here.",
    )


def may_issue(kind: str, order: Order) -> str | None:
    """Return None when an order can have this paper now, else why not and the mend."""
    if kind in (Kind.CONFIRMATION, Kind.INVOICE, Kind.PACKING_LIST) and order.state in NOT_AGREED:
        return f"{order} is not agreed yet. Note that the customer accepted it, then print this paper."
    if kind == Kind.QUOTE and order.state not in NOT_AGREED:
        return f"{order} is agreed already. Print an order confirmation instead."
    return None


def _plain(number: Decimal) -> str:
    return f"{number.normalize():f}"
