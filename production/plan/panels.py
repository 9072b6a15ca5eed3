"""What the plan adds to an order that is not yet accepted: whether there is room, and the day that can be told."""

from django.utils import timezone

from orders.models import Order
from orders.order_states import OrderState
from production.plan.bookings import bookings_for
from production.plan.forms import OrderWeightForm
from production.plan.models import OrderWeight
from soapshop.panels import Panel

BEFORE_THE_PROMISE = (OrderState.ENQUIRY, OrderState.QUOTED)
WHILE_IT_WAITS = (OrderState.ACCEPTED, OrderState.IN_PRODUCTION)


def promise_panel(order: Order) -> Panel | None:
    """Ask for an honest day for each line before the order is accepted."""
    if order.state not in BEFORE_THE_PROMISE:
        return None
    return Panel("production/plan_board/components/promise_panel.html", {"order": order}, rank=20)


def weight_panel(order: Order) -> Panel | None:
    """Let a person say that this order must rather not be late, while it is waiting for bars."""
    if order.state not in WHILE_IT_WAITS:
        return None
    weights = OrderWeight.by_order([order.pk])
    form = OrderWeightForm(initial={"weight_in_plan": weights.get(order.pk, OrderWeight.Weight.USUAL)})
    return Panel("production/plan_board/components/weight_panel.html", {"order": order, "form": form}, rank=55)


def bookings_panel(order: Order) -> Panel | None:
    """Show how full the months around the order are, before it is accepted."""
    if order.state not in BEFORE_THE_PROMISE:
        return None
    months = bookings_for(order, today=timezone.localdate())
    return (
        Panel("production/plan_board/components/bookings_panel.html", {"months": months}, rank=21) if months else None
    )
