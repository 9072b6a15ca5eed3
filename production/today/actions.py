"""Write on each order whether it is at risk, so that its own page and the lists can show it."""

from datetime import date

from django.db import transaction

from orders.actions import mark_risk
from orders.models import Order
from orders.order_states import PROMISED
from production.today.stakes import judge_orders, lines_of_orders
from soapshop.models import Workshop

MOST_WORDS = 300


@transaction.atomic
def refresh_risks(*, today: date) -> int:
    """Judge every promised order anew and return how many are at risk. Orders no longer promised lose their mark."""
    judged = judge_orders(lines_of_orders(PROMISED), workshop=Workshop.current(), today=today)
    for each in judged:
        text = each.risks[0].sentence if each.risks else ""
        mark_risk(order=each.order, is_at_risk=bool(each.risks), text=text[:MOST_WORDS])
    settled = Order.objects.filter(is_at_risk=True).exclude(status__in=[state.value for state in PROMISED])
    for order in settled:
        mark_risk(order=order, is_at_risk=False, text="")
    return sum(1 for each in judged if each.risks)
