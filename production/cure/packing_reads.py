"""What the packing table shows of one order."""

from dataclasses import dataclass

from orders.models import Order
from orders.order_states import OrderState
from production.cure.actions.serving import WAITING
from production.cure.forms import GiveBackForm, OutOfTurnForm
from production.cure.order_bars import OrderBars, bars_of_orders, for_bars
from soapshop.panels import Panel


@dataclass(frozen=True)
class PackingPage:
    """An order's bars and the one thing to do next: reserve, pack, hand over, or nothing ("")."""

    bars: OrderBars
    next_step: str
    give_back_form: GiveBackForm
    out_of_turn_form: OutOfTurnForm

    @property
    def may_give_back(self) -> bool:
        return bool(self.bars.reserved or self.bars.packed)


def packing_page(number: str) -> PackingPage | None:
    order = for_bars(Order.objects.filter(number=number)).first()
    return None if order is None else packing_of(order)


def packing_of(order: Order) -> PackingPage:
    bars = bars_of_orders([order])[order.pk]
    return PackingPage(bars, _next_step(bars), GiveBackForm(), OutOfTurnForm())


def _next_step(bars: OrderBars) -> str:
    if bars.order.state not in (*WAITING, OrderState.HANDED_OVER):
        return ""
    if bars.missing:
        return "" if bars.order.state == OrderState.HANDED_OVER else "reserve"
    if bars.reserved:
        return "pack"
    return "hand_over" if bars.packed else ""


def order_panel(order: Order) -> Panel | None:
    """Show on the order's page what lies ready for it, once it was accepted."""
    if order.state not in (*WAITING, OrderState.HANDED_OVER, OrderState.CLOSED, OrderState.CANCELLED):
        return None
    page = packing_page(order.number)
    if page is None or (order.state in (OrderState.CLOSED, OrderState.CANCELLED) and not page.may_give_back):
        return None
    return Panel("production/cure/order_panel.html", {"page": page, "order": order}, rank=60)
