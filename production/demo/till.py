"""What was agreed and what came in during the demo's year: sheets, deposits, balances."""

from datetime import date, timedelta
from decimal import Decimal

from orders.agreement.actions import approve_proof, make_proof
from orders.customer_page.actions import open_link
from orders.models import Order, Payment
from orders.money.actions import agree_charges, change_house_terms, record_payment
from orders.money.reads import account_now
from soapshop.models import User

HOUSE_RULES = {"rush_days": 49, "minimum_order": Decimal(60)}
DEPOSIT_AFTER = timedelta(days=2)


def set_house_rules(*, by: User) -> None:
    """What the demo shop puts on by itself: a rush within seven weeks, and a least order."""
    change_house_terms(wanted=HOUSE_RULES, by=by)


def show_sheet(order: Order, *, today: date, by: User) -> None:
    """Make the sheet that the customer looks at; one who is still thinking has the page open."""
    make_proof(order_id=order.pk, today=_agreed_on(order, today), by=by)


def open_page(order: Order, *, today: date, by: User) -> None:
    open_link(order_id=order.pk, expires_on=None, today=today, by=by)


def approve_sheet(order: Order, *, today: date) -> None:
    proof = order.proofs.get()
    name = order.customer.name
    approve_proof(proof_id=proof.pk, name=name, way="own_page", today=_agreed_on(order, today), by=None)


def take_deposit(order: Order, *, today: date, by: User) -> None:
    """Agree on the charges and take the deposit, where the order has a price."""
    agreed = _agreed_on(order, today)
    agree_charges(order_id=order.pk, on=agreed, by=by)
    account = account_now(order, today=today)
    if account.sum is not None and account.sum.deposit:
        _take(order, account.sum.deposit, on=agreed + DEPOSIT_AFTER, note="deposit", by=by, today=today)


def take_balance(order: Order, *, today: date, by: User) -> None:
    account = account_now(order, today=today)
    if not account.refusal and account.standing.balance:
        paid = max(_agreed_on(order, today) + DEPOSIT_AFTER, min(order.needed_by, today))
        _take(order, account.standing.balance, on=paid, note="balance", by=by, today=today)


def _agreed_on(order: Order, today: date) -> date:
    return min(order.needed_by - timedelta(days=80), today - timedelta(days=2))


def _take(order: Order, amount: Decimal, *, on: date, note: str, by: User, today: date) -> None:
    record_payment(
        order_id=order.pk,
        kind=Payment.Kind.PAYMENT,
        on=on,
        amount=amount,
        way=Payment.Way.TRANSFER,
        note=note,
        by=by,
        today=today,
    )
