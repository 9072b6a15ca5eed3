"""Set what is charged, write down what was paid, settle what was cancelled."""

from collections.abc import Mapping
from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction

from formulas.models import Design
from orders.actions import OrderRefusal, move_by_hand, note_order
from orders.models import HouseTerms, ListPrice, Order, OrderCharges, Payment, TaxRate
from orders.money.cancellation import Cancellation
from orders.money.order_sum import SumRefused
from orders.money.payments import EntryKind, PaymentRefused, judge_payment, judge_refund
from orders.money.reads import account_now, cancellation_now
from orders.money.records import NOT_AGREED, charges_of, house_fees_of, sum_of, usual_rate
from orders.order_states import CHANGEABLE, OrderState
from soapshop.audit import changed_fields, note_event
from soapshop.models import User, Workshop
from soapshop.money import format_money


@transaction.atomic
def change_house_terms(*, wanted: Mapping[str, Any], by: User) -> HouseTerms:
    """Write how this shop charges; orders that have their own charges keep them."""
    if not by.is_owner:
        raise OrderRefusal("Only an owner changes how the shop charges. Ask one of them.")
    terms = HouseTerms.objects.select_for_update().get(pk=HouseTerms.current().pk)
    before, after = changed_fields(terms, dict(wanted))
    if not after:
        return terms
    for name, new in after.items():
        setattr(terms, name, new)
    terms.save(update_fields=list(after))
    names = ", ".join(str(HouseTerms._meta.get_field(name).verbose_name) for name in after)  # type: ignore[union-attr]
    text = f"Changed how the shop charges: {names}."
    note_event(by=by, verb="change_house_terms", subject=terms, text=text, before=before, after=after)
    return terms


@transaction.atomic
def save_tax_rate(*, rate: TaxRate, by: User) -> TaxRate:
    """Write a rate, new or changed. Making it the usual one takes the mark from the other."""
    if not by.is_owner:
        raise OrderRefusal("Only an owner changes the table of tax rates. Ask one of them.")
    if rate.is_usual:
        TaxRate.objects.filter(is_usual=True).exclude(pk=rate.pk).update(is_usual=False)
    rate.save()
    note_event(by=by, verb="save_tax_rate", subject=rate, text=f"Tax rate {rate}.", after={"percent": rate.percent})
    return rate


@transaction.atomic
def set_list_price(*, design: Design, price: Decimal | None, by: User) -> None:
    """Put a design on the price list, or take it off with None."""
    before = ListPrice.objects.filter(design=design).first()
    if price is None:
        ListPrice.objects.filter(design=design).delete()
    else:
        ListPrice.objects.update_or_create(design=design, defaults={"price_per_bar": price})
    was = None if before is None else before.price_per_bar
    if was != price:
        text = f"{design}: list price {was or 'none'} → {price or 'none'}."
        note_event(by=by, verb="set_list_price", subject=design, text=text)


@transaction.atomic
def set_charges(*, order_id: int, wanted: Mapping[str, Any], by: User, today: date) -> OrderCharges:
    """Write discount, fees, tax and days of one order, and leave what they were.

    A fee of the house that is lowered or let go needs its reason.
    """
    order = Order.objects.select_for_update().get(pk=order_id)
    if order.state not in CHANGEABLE:
        raise OrderRefusal(f"{order} is {order.state.label.lower()}, so its charges stay. Write a credit note instead.")
    charges = _own_charges(order)
    before, after = changed_fields(charges, dict(wanted))
    for name, new in after.items():
        setattr(charges, name, new)
    _judge_charges(order, charges, today=today)
    charges.save()
    if after:
        words = "; ".join(
            f"{OrderCharges._meta.get_field(name).verbose_name} {_said(before[name])} → {_said(after[name])}"  # type: ignore[union-attr]
            for name in after
        )
        note_order(order=order, by=by, verb="set_charges", text=f"Charges: {words}.", before=before, after=after)
    return charges


def _judge_charges(order: Order, charges: OrderCharges, *, today: date) -> None:
    currency = Workshop.current().currency
    try:
        fees = house_fees_of(order, charges, currency=currency, today=today)
        if all(line.price_per_bar is not None for line in order.lines.all()):
            sum_of(order, charges, currency=currency, today=today)
    except SumRefused as refusal:
        raise OrderRefusal(str(refusal)) from refusal
    let_go = [fee for fee in fees if fee.is_let_go]
    if let_go and not charges.fee_words.strip():
        asked = format_money(let_go[0].by_rule, currency=currency)
        raise OrderRefusal(
            f"By the shop's rule the fee is {asked} ({let_go[0].name.lower()}). "
            "Say in a few words why it is less, or leave its box empty."
        )


@transaction.atomic
def quote_charges(*, order_id: int, on: date) -> OrderCharges:
    """Fix the day a quote counts from and how long it is good; one that is still good keeps its days."""
    order = Order.objects.select_for_update().get(pk=order_id)
    charges = _own_charges(order)
    if order.state not in NOT_AGREED or (charges.quoted_on is not None and not charges.is_quote_over(on)):
        return charges
    charges.quoted_on = on
    if charges.valid_until is None or charges.valid_until < on:
        charges.valid_until = on + timedelta(days=HouseTerms.current().quote_days)
    charges.save()
    return charges


@transaction.atomic
def agree_charges(*, order_id: int, on: date, by: User | None) -> OrderCharges:
    """Fix the days on which deposit and balance are due, counted from the day the customer agreed."""
    order = Order.objects.select_for_update().get(pk=order_id)
    charges, terms = _own_charges(order), HouseTerms.current()
    hand_over = order.needed_by - timedelta(days=order.travel_days)
    charges.agreed_on = on
    charges.deposit_due_on = charges.deposit_due_on or on + timedelta(days=terms.deposit_days)
    charges.balance_due_on = charges.balance_due_on or max(hand_over - timedelta(days=terms.balance_days), on)
    charges.save()
    days = {"deposit_due_on": charges.deposit_due_on, "balance_due_on": charges.balance_due_on}
    text = f"Deposit due by {_said(charges.deposit_due_on)}, balance by {_said(charges.balance_due_on)}."
    note_order(order=order, by=by, verb="agree_charges", text=text, after=days)
    return charges


@transaction.atomic
def record_payment(
    *,
    order_id: int,
    kind: str,
    on: date,
    amount: Decimal,
    way: str,
    by: User,
    today: date,
    note: str = "",
    typed_once: UUID | None = None,
) -> Payment:
    """Write down money that came in or was paid back. The same form sent twice counts once."""
    order = Order.objects.select_for_update().get(pk=order_id)
    if typed_once is not None and (taken := Payment.objects.filter(typed_once=typed_once).first()) is not None:
        return taken
    if on > today:
        raise PaymentRefused("That day is still to come. Write money down on the day it moves.")
    account, currency = account_now(order, today=today), Workshop.current().currency
    if account.refusal:
        raise PaymentRefused(account.refusal)
    judge = judge_payment if kind == EntryKind.PAYMENT else judge_refund
    judge(amount, account.standing, currency=currency)
    payment = Payment.objects.create(
        order=order, kind=kind, on=on, amount=amount, way=way, note=note, typed_once=typed_once, by=by
    )
    text = f"{payment.words}: {format_money(amount, currency=currency)}."
    note_order(order=order, by=by, verb="record_payment", text=text, after={"amount": amount, "on": on})
    return payment


@transaction.atomic
def close_order(*, order_id: int, by: User, today: date) -> Order:
    """Close an order that is handed over and settled to the cent; one without prices has nothing to settle."""
    order = Order.objects.select_for_update().get(pk=order_id)
    account = account_now(order, today=today)
    if not account.refusal and not account.standing.is_settled:
        open_sum = format_money(abs(account.standing.balance), currency=Workshop.current().currency)
        way = "still to be paid" if account.standing.balance > 0 else "to be paid back"
        raise OrderRefusal(
            f"{open_sum} is {way}. Write the money down under Money, or write a credit note, then close."
        )
    return move_by_hand(order_id=order_id, to=OrderState.CLOSED, by=by)


@transaction.atomic
def settle_cancellation(*, order_id: int, by: User, today: date) -> Cancellation:
    """Fix what the shop keeps of a cancelled order by its terms; what is paid back is written down when it moves."""
    order = Order.objects.select_for_update().get(pk=order_id)
    if order.state != OrderState.CANCELLED:
        raise OrderRefusal(f"{order} is not cancelled. Cancel it first.")
    charges = _own_charges(order)
    if charges.cancelled_on is not None:
        raise OrderRefusal("This cancellation is settled already. See the order's account.")
    worked, cancelled_on = cancellation_now(order, today=today)
    charges.cancelled_on, charges.cancelled_keep = cancelled_on, worked.keep
    charges.save()
    currency = Workshop.current().currency
    text = (
        f"Cancellation settled: kept {format_money(worked.keep, currency=currency)}, "
        f"to pay back {format_money(worked.pay_back, currency=currency)}."
    )
    note_order(order=order, by=by, verb="settle_cancellation", text=text, after={"keep": worked.keep})
    return worked


def _own_charges(order: Order) -> OrderCharges:
    charges = OrderCharges.objects.select_for_update().filter(order=order).first()
    return charges or charges_of(order, terms=HouseTerms.current(), usual_rate=usual_rate())


def _said(figure: Any) -> str:
    if figure in (None, ""):
        return "none"
    if isinstance(figure, date):
        return f"{figure:%b} {figure.day}, {figure.year}"
    return f"{figure.normalize():f}" if isinstance(figure, Decimal) else str(figure)
