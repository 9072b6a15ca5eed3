"""The balance is due before the bars leave the house."""

from datetime import date
from decimal import Decimal

from orders.actions import OrderRefusal
from orders.models import Order
from orders.money.reads import account_now
from soapshop.models import User, Workshop
from soapshop.money import format_money


def owed_before_hand_over(order: Order, *, today: date) -> Decimal | None:
    """Return what must be paid before bars leave the house; None while nothing is open or no price is known."""
    account = account_now(order, today=today)
    return None if account.refusal or account.standing.may_hand_over else account.standing.balance


def judge_hand_over(order: Order, *, by: User, unpaid_reason: str, today: date) -> str:
    """Refuse while money is open, unless an owner says why; return what the order's book says about it."""
    balance = owed_before_hand_over(order, today=today)
    if balance is None:
        return ""
    owed = format_money(balance, currency=Workshop.current().currency)
    if not unpaid_reason.strip():
        raise OrderRefusal(
            f"{owed} is still to be paid. Write the payment down under Money, "
            "or let an owner say on the packing list why the bars go unpaid."
        )
    if not by.is_owner:
        raise OrderRefusal(f"{owed} is still to be paid, and only an owner lets bars go unpaid. Ask one of them.")
    return f" Unpaid, {owed}: {unpaid_reason.strip()}."
