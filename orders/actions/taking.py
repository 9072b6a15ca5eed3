"""Take orders, and change what was agreed on dates and hand-over."""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction

from orders.actions.customers import save_customer
from orders.actions.lines import LineWish, write_line
from orders.actions.writing import (
    OrderRefusal,
    changeable_order,
    count_change,
    label_of,
    need_likely_day,
    note_order,
    said,
)
from orders.models import Customer, Order, OrderLine
from soapshop.audit import changed_fields
from soapshop.models import User
from soapshop.numbering import next_number

FIRST_ORDER_NUMBER = 1001


def take_order(
    *, customer: Customer, terms: Mapping[str, Any], lines: Sequence[LineWish], by: User, typed_once: UUID | None = None
) -> Order:
    """Take an order for a customer who may be new. The same form sent twice, even at once, gives one order."""
    try:
        return _take(customer, terms, lines, by, typed_once)
    except IntegrityError:
        taken = Order.objects.filter(typed_once=typed_once).first() if typed_once else None
        if taken is None:
            raise
        return taken


@transaction.atomic
def _take(
    customer: Customer, terms: Mapping[str, Any], lines: Sequence[LineWish], by: User, typed_once: UUID | None
) -> Order:
    taken = Order.objects.filter(typed_once=typed_once).first() if typed_once else None
    if taken is not None:
        return taken
    if customer._state.adding:
        customer = save_customer(customer=customer, avoid_materials=(), by=by, is_new=True)
    return create_order(customer=customer, terms=terms, lines=lines, by=by, typed_once=typed_once)


@transaction.atomic
def create_order(
    *, customer: Customer, terms: Mapping[str, Any], lines: Sequence[LineWish], by: User, typed_once: UUID | None = None
) -> Order:
    """Write an enquiry down for a customer in the book."""
    if not lines:
        raise OrderRefusal("An order needs at least one line. Choose a design and say how many bars.")
    need_likely_day(terms.get("needed_by"))
    need_likely_day(terms.get("event_date"))
    order = Order.objects.create(
        number=str(next_number("order", first=FIRST_ORDER_NUMBER)),
        customer=customer,
        typed_once=typed_once,
        created_by=by,
        **terms,
    )
    for position, wish in enumerate(lines, start=1):
        write_line(OrderLine(order=order, position=position), wish)
    note_order(order=order, by=by, verb="create_order", text=f"Order taken for {customer.name}.")
    return order


@transaction.atomic
def change_terms(*, order_id: int, terms: Mapping[str, Any], by: User, seen_saves: int | None = None) -> Order:
    """Change dates, hand-over and notes; every change is kept with what it was."""
    order = changeable_order(order_id, seen_saves=seen_saves)
    need_likely_day(terms.get("needed_by"))
    need_likely_day(terms.get("event_date"))
    before, after = changed_fields(order, dict(terms))
    if not after:
        return order
    for field, wanted in after.items():
        setattr(order, field, wanted)
    order.save(update_fields=list(after))
    count_change(order)
    words = "; ".join(f"{label_of(order, field)} {said(before[field])} → {said(after[field])}" for field in after)
    note_order(order=order, by=by, verb="change_terms", text=f"Changed: {words}.", before=before, after=after)
    return order
