"""What the plan adds to an order that is not yet accepted: the way to the day that can be told."""

from orders.models import Order
from orders.order_states import OrderState
from soapshop.panels import Panel

BEFORE_THE_PROMISE = (OrderState.ENQUIRY, OrderState.QUOTED)


def promise_panel(order: Order) -> Panel | None:
    """Ask for an honest day for each line before the order is accepted."""
    if order.state not in BEFORE_THE_PROMISE:
        return None
    return Panel("production/plan_board/components/promise_panel.html", {"order": order}, rank=20)
