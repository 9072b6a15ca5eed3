"""Tell orders that bars kept for them are gone."""

from orders.actions import mark_risk, note_order
from orders.models import Order, OrderLine
from production.batches.models import Batch
from production.cure.bar_counts import Held
from soapshop.models import User


def warn_orders(batch: Batch, taken: list[Held], *, text: str, by: User) -> None:
    """Mark every order at risk whose reserved or packed bars were taken from it. The batch is locked already."""
    lost: dict[int, int] = {}
    for held in taken:
        lost[held.line_id] = lost.get(held.line_id, 0) + held.reserved + held.packed
    orders = OrderLine.objects.filter(pk__in=lost).values("order_id")
    for order in Order.objects.select_for_update().filter(pk__in=orders).order_by("pk"):
        bars = sum(lost.get(line.pk, 0) for line in order.lines.all())
        words = f"{text}: {bars} {'bar' if bars == 1 else 'bars'} kept for this order are missing."
        mark_risk(order=order, is_at_risk=True, text=words)
        note_order(order=order, by=by, verb="warn_orders", text=words)
