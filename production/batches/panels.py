"""What the bench and the plan add to the pages of the apps below."""

from orders.models import Order
from orders.order_states import BEFORE_PRODUCTION, MOVES, OrderState
from soapshop.panels import Panel


def cancel_order_panel(order: Order) -> Panel | None:
    """The way to call off an order that batches or bars stand behind."""
    if order.state in BEFORE_PRODUCTION or OrderState.CANCELLED not in MOVES[order.state]:
        return None
    return Panel("production/plan/components/cancel_order.html", {"order": order}, rank=90)
