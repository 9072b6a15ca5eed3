"""Plan batches for orders, and look at what is planned."""

from datetime import timedelta

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from orders.models import Order
from production.batches.actions.cancelling import cancel_order
from production.batches.actions.planning import plan_batches
from production.batches.asked import BatchRefusal
from production.batches.forms import CancelOrderForm, PlanForm
from production.batches.order_reads import behind_order, order_plan_page
from production.batches.plan_reads import plan_page
from production.plan.work_days import current_work_days
from soapshop.requests import StaffRequest

WEEKS_SHOWN = 8


@require_GET
def plan(request: StaffRequest) -> HttpResponse:
    today = timezone.localdate()
    page = plan_page(today=today, until=today + timedelta(weeks=WEEKS_SHOWN), workshop=request.workshop)
    return render(request, "production/plan/plan.html", {"page": page, "today": today})


@require_http_methods(["GET", "POST"])
def order_plan(request: StaffRequest, number: str) -> HttpResponse:
    order = get_object_or_404(Order, number=number)
    today = timezone.localdate()
    form = PlanForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            batches = plan_batches(
                order_id=order.pk,
                today=today,
                pour_on=form.cleaned_data["pour_on"],
                calendar=current_work_days(),
                by=request.user,
            )
        except BatchRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            numbers = ", ".join(batch.number for batch in batches)
            messages.success(request, f"Planned: {numbers}.")
            return redirect(order)
    page = order_plan_page(number, workshop=request.workshop, today=today)
    return render(request, "production/plan/order_plan.html", {"page": page, "form": form, "today": today})


@require_http_methods(["GET", "POST"])
def order_cancel(request: StaffRequest, number: str) -> HttpResponse:
    """Cancel an order with what stands behind it; the page says first what that is."""
    order = get_object_or_404(Order.objects.select_related("customer"), number=number)
    form = CancelOrderForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            cancel_order(
                order_id=order.pk, reason=form.cleaned_data["reason"], by=request.user, on=timezone.localdate()
            )
        except BatchRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"{order} is cancelled.")
            return redirect(order)
    context = {"order": order, "form": form, "behind": behind_order(order)}
    return render(request, "production/plan/order_cancel.html", context)
