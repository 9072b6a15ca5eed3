"""Move an order along its course, promise a day, note a risk."""

from datetime import date

from django.db import transaction

from orders.actions.writing import OrderRefusal, changeable_order, need_likely_day, note_order
from orders.models import Order
from orders.order_states import OrderState, may_move, may_move_by_hand
from orders.records import design_copy
from soapshop.models import User


@transaction.atomic
def move_by_hand(*, order_id: int, to: OrderState, by: User, reason: str = "") -> Order:
    """Move an order where a person alone decides. Stages that rest on bars follow the bars instead."""
    order = Order.objects.select_for_update().get(pk=order_id)
    refusal = may_move_by_hand(order.state, to)
    if refusal:
        raise OrderRefusal(refusal)
    return move_order(order_id=order_id, to=to, by=by, reason=reason)


@transaction.atomic
def move_order(*, order_id: int, to: OrderState, by: User | None, reason: str = "") -> Order:
    """Move an order along its course. Accepting freezes the designs as they are today."""
    order = Order.objects.select_for_update().get(pk=order_id)
    refusal = may_move(order.state, to)
    if refusal:
        raise OrderRefusal(refusal)
    if to == OrderState.CANCELLED and not reason.strip():
        raise OrderRefusal("Say in a few words why the order is cancelled. It stays in the book with that reason.")
    if to == OrderState.ACCEPTED:
        _freeze(order)
    before = order.state
    order.status = to.value
    order.save(update_fields=["status"])
    because = f": {reason.strip()}" if reason.strip() else ""
    text = f"{before.label} → {to.label}{because}."
    note_order(order=order, by=by, verb="move_order", text=text, before={"status": before.value})
    return order


@transaction.atomic
def promise_date(*, order_id: int, day: date, by: User) -> Order:
    """Note the day the customer was told. The same day noted twice has one effect."""
    order = changeable_order(order_id)
    need_likely_day(day)
    before = order.promised_date
    if before == day:
        return order
    order.promised_date = day
    order.save(update_fields=["promised_date"])
    text = f"Promised for {day:%b} {day.day}, {day.year}."
    note_order(order=order, by=by, verb="promise_date", text=text, before={"promised_date": before})
    return order


def mark_risk(*, order: Order, is_at_risk: bool, text: str) -> None:
    """Note on the order's own row whether it is at risk; the app above judges that."""
    if (order.is_at_risk, order.risk_text) == (is_at_risk, text):
        return
    order.is_at_risk, order.risk_text = is_at_risk, text[:300]
    order.save(update_fields=["is_at_risk", "risk_text"])


def _freeze(order: Order) -> None:
    for line in order.lines.select_related("design__formula", "design__mold").prefetch_related("finishes__part"):
        line.frozen_design = design_copy(line)
        line.save(update_fields=["frozen_design"])
