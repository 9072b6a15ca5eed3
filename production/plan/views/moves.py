"""Move one batch by hand, and say how much an order's late days count."""

from datetime import date

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from orders.models import Order
from production.batches.models import Batch
from production.plan.actions.moving import PlanRefusal, move_pour
from production.plan.actions.weights import set_order_weight
from production.plan.forms import OrderWeightForm, PourDayForm
from production.plan.move_words import step_rows
from production.plan.records import shop_plan
from production.planning.one_move import move_one, open_days_for
from soapshop.requests import StaffRequest

# Six weeks of days are looked at for those that fit; so many are shown.
LOOK_DAYS, SHOWN_DAYS = 42, 12


@require_GET
def batch_move(request: StaffRequest, number: str) -> HttpResponse:
    """Show what another pour day would bring, before anything is moved."""
    batch = get_object_or_404(Batch.objects.select_related("design"), number=number)
    today = timezone.localdate()
    asked = shop_plan(today=today).asked
    form = PourDayForm(request.GET if "pour_on" in request.GET else None, initial={"pour_on": batch.pour_on})
    context = {"batch": batch, "form": form, "may_move": number in {each.key for each in asked.movable}}
    if context["may_move"]:
        days = open_days_for(asked, number, first=today, days=LOOK_DAYS)
        context |= {"open_days": days[:SHOWN_DAYS], "further_days": len(days[SHOWN_DAYS:]), "look_days": LOOK_DAYS}
        if form.is_bound and form.is_valid():
            move = move_one(asked, number, form.cleaned_data["pour_on"])
            context |= {"move": move, "steps": step_rows(batch, move)}
    return render(request, "production/plan_board/move.html", context)


@require_POST
def batch_move_save(request: StaffRequest, number: str) -> HttpResponse:
    batch = get_object_or_404(Batch, number=number)
    form = PourDayForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Give the day of the pour as 2026-12-24.")
        return redirect("production:batch-move", number)
    day: date = form.cleaned_data["pour_on"]
    try:
        move_pour(batch_id=batch.pk, pour_on=day, today=timezone.localdate(), by=request.user)
    except PlanRefusal as refusal:
        messages.error(request, str(refusal))
        return redirect("production:batch-move", number)
    messages.success(request, f"{batch} is poured on {day:%A, %b} {day.day}.")
    return redirect("production:plan-board")


@require_POST
def order_weight(request: StaffRequest, number: str) -> HttpResponse:
    order = get_object_or_404(Order, number=number)
    form = OrderWeightForm(request.POST)
    if form.is_valid():
        set_order_weight(order_id=order.pk, weight=form.weight, by=request.user)
        messages.success(request, "Written down. The next plan follows it.")
    else:
        messages.error(request, "Choose how much its late days count.")
    return redirect(order)
