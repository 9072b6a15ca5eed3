"""Ask for the day that can be promised, and hold it."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.dateparse import parse_date
from django.views.decorators.http import require_GET, require_POST

from production.plan.actions.holding import hold_date, release_date
from production.plan.actions.moving import PlanRefusal
from production.plan.forms import PromiseForm
from production.plan.models import HeldDate
from production.plan.promises import last_pours, offers_for
from soapshop.requests import StaffRequest

# How long the solver may look for moves while a person waits for the page.
PAGE_SECONDS = 4.0


@require_GET
def promise(request: StaffRequest) -> HttpResponse:
    today = timezone.localdate()
    form = PromiseForm(request.GET if "bars" in request.GET else None, initial={"travel_days": 0})
    offers = last = None
    if form.is_valid():
        wanted = form.cleaned_data
        seconds = PAGE_SECONDS if wanted["may_move"] else 0.0
        offers = offers_for(
            wanted["design"], wanted["bars"], today=today, travel_days=wanted["travel_days"], seconds=seconds
        )
        if wanted["wanted_on"]:
            last = last_pours(
                wanted["design"],
                wanted["wanted_on"],
                wanted["bars"],
                today=today,
                travel_days=wanted["travel_days"],
            )
    held = HeldDate.objects.filter(expires_on__gte=today).select_related("design")
    context = {"form": form, "offers": offers, "last": last, "held": held, "today": today}
    return render(request, "production/plan_board/promise.html", context)


@require_POST
def promise_hold(request: StaffRequest) -> HttpResponse:
    form = PromiseForm({**request.POST.dict(), "travel_days": "0"})
    try:
        ready_on = parse_date(request.POST.get("ready_on", ""))
    except ValueError:
        ready_on = None
    if not form.is_valid() or ready_on is None:
        messages.error(request, "That day could not be held. Ask for it again.")
        return redirect("production:promise")
    wanted = form.cleaned_data
    try:
        held = hold_date(
            design=wanted["design"], bars=wanted["bars"], ready_on=ready_on, today=timezone.localdate(), by=request.user
        )
    except PlanRefusal as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, f"Held until {held.expires_on:%b} {held.expires_on.day}: {held}.")
    return redirect("production:promise")


@require_POST
def promise_release(request: StaffRequest, pk: int) -> HttpResponse:
    release_date(held_id=get_object_or_404(HeldDate, pk=pk).pk, by=request.user)
    messages.success(request, "The day is free again.")
    return redirect("production:promise")
