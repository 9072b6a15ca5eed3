"""What an order costs and what it leaves."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET

from orders.models import Order
from production.costing.reads import order_cost
from soapshop.requests import StaffRequest


@require_GET
def order_costs(request: StaffRequest, number: str) -> HttpResponse:
    order = get_object_or_404(Order.objects.for_page(), number=number)
    page = order_cost(order, today=timezone.localdate())
    return render(request, "production/costing/order_cost.html", {"page": page, "order": order})
