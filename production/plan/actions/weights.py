"""Say how much a late day of an order counts when a plan is sought."""

from django.db import transaction

from orders.models import Order
from production.plan.models import OrderWeight
from soapshop.audit import note_event
from soapshop.models import User


@transaction.atomic
def set_order_weight(*, order_id: int, weight: OrderWeight.Weight, by: User) -> None:
    """Write the weight down; the same weight again changes nothing."""
    order = Order.objects.select_for_update().get(pk=order_id)
    before = OrderWeight.objects.filter(order=order).values_list("weight", flat=True).first() or 1
    if before == weight:
        return
    OrderWeight.objects.update_or_create(order=order, defaults={"weight": weight, "by": by})
    note_event(
        by=by,
        verb="set_order_weight",
        subject=order,
        text=f"In a plan a late day of {order.number} counts {weight.label.lower()}.",
        before={"weight": before},
        after={"weight": int(weight)},
    )
