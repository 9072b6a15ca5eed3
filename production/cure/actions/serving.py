"""What serving an order needs at every step: its bars under a lock, its stage, its words."""

from orders.actions import mark_risk, move_order
from orders.models import Order
from orders.order_states import OrderState
from production.batches.models import Batch
from production.cure.models import BarMove
from production.cure.order_bars import OrderBars, bars_of_orders, for_bars
from soapshop.models import User

WAITING = (OrderState.ACCEPTED, OrderState.IN_PRODUCTION, OrderState.READY, OrderState.PACKED)
# An order that was handed over gets bars again when some of its own came back.
SERVED = (*WAITING, OrderState.HANDED_OVER)


def order_bars(order_id: int) -> OrderBars:
    return bars_of_orders(for_bars(Order.objects.filter(pk=order_id)))[order_id]


def locked_bars(order_id: int) -> OrderBars:
    Order.objects.select_for_update().get(pk=order_id)
    return order_bars(order_id)


def lock_batches_of(order_id: int) -> None:
    """Lock every batch whose bars lie with the order, before the order itself."""
    batch_ids = BarMove.objects.filter(line__order_id=order_id).values("batch_id")
    list(Batch.objects.select_for_update().filter(pk__in=batch_ids).order_by("pk"))


def walk_to_ready(order: Order, *, by: User) -> None:
    """Move the order to ready, over production where it was filled from the shelf; it is no longer at risk."""
    course = {OrderState.ACCEPTED: OrderState.IN_PRODUCTION, OrderState.IN_PRODUCTION: OrderState.READY}
    state = order.state
    while state in course:
        state = course[state]
        move_order(order_id=order.pk, to=state, by=by)
    mark_risk(order=Order.objects.get(pk=order.pk), is_at_risk=False, text="")


def count_text(bars: int) -> str:
    return "1 bar" if bars == 1 else f"{bars} bars"
