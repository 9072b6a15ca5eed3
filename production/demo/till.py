"""What came in during the demo's year: deposits, balances, one order that is overdue."""

from datetime import date, timedelta
from decimal import Decimal

from orders.models import Order, Payment
from orders.money.actions import agree_charges, record_payment
from orders.money.reads import account_now
from orders.order_states import PROMISED, OrderState
from soapshop.models import User

PAID_UP = (OrderState.READY, OrderState.PACKED, OrderState.CLOSED)


def play_till(*, today: date, by: User) -> None:
    """Take the money of each agreed order as far as its stage says; what was handed over last is still owed."""
    for order in Order.objects.filter(status__in=[*PROMISED, OrderState.HANDED_OVER, OrderState.CLOSED]).order_by("pk"):
        agreed = min(order.needed_by - timedelta(days=80), today - timedelta(days=2))
        agree_charges(order_id=order.pk, on=agreed, by=by)
        account = account_now(order, today=today)
        if account.sum is None:
            continue
        paid = agreed + timedelta(days=2)
        if account.sum.deposit:
            _take(order, account.sum.deposit, on=paid, note="deposit", by=by, today=today)
        if order.state in PAID_UP and account.sum.balance:
            handed = max(paid, min(order.needed_by, today))
            _take(order, account.sum.balance, on=handed, note="balance", by=by, today=today)


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
