"""Plan batches for orders, and look at what is planned."""

from datetime import timedelta

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from orders.models import Order
from production.batches.actions.planning import plan_batches
from production.batches.asked import BatchRefusal
from production.batches.forms import PlanForm
from production.batches.plan_reads import plan_page
from production.batches.proposal import propose_for_order
from soapshop.models import Workshop

WEEKS_SHOWN = 8


@require_GET
def plan(request: HttpRequest) -> HttpResponse:
    today = timezone.localdate()
    page = plan_page(today=today, until=today + timedelta(weeks=WEEKS_SHOWN), workshop=Workshop.current())
    return render(request, "production/plan/plan.html", {"page": page, "today": today})


@require_http_methods(["GET", "POST"])
def order_plan(request: HttpRequest, number: str) -> HttpResponse:
    order = get_object_or_404(Order.objects.for_page(), number=number)
    today = timezone.localdate()
    form = PlanForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            batches = plan_batches(
                order_id=order.pk, today=today, pour_on=form.cleaned_data["pour_on"], by=request.user
            )
        except BatchRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            numbers = ", ".join(batch.number for batch in batches)
            messages.success(request, f"Planned: {numbers}.")
            return redirect(order)
    proposal = propose_for_order(order, workshop=Workshop.current(), today=today)
    context = {"proposal": proposal, "order": order, "form": form, "today": today}
    return render(request, "production/plan/order_plan.html", context)
