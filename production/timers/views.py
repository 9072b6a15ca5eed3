"""Timers on the page of a batch."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from production.batches.models import Batch
from production.batches.views.batch_page import attempt
from production.timers.actions import start_timer, stop_timer
from production.timers.forms import TimerForm
from production.timers.models import Timer
from soapshop.requests import StaffRequest


@require_POST
def timer_start(request: StaffRequest, number: str) -> HttpResponse:
    found = get_object_or_404(Batch, number=number)
    form = TimerForm(request.POST, prefix="timer")
    return attempt(
        request,
        number,
        {"timer_form": form},
        lambda: start_timer(batch_id=found.pk, at=timezone.now(), by=request.user, **form.cleaned_data),
    )


@require_POST
def timer_stop(request: StaffRequest, number: str, pk: int) -> HttpResponse:
    timer = get_object_or_404(Timer, pk=pk, batch__number=number)
    stopped = stop_timer(timer_id=timer.pk, at=timezone.now(), by=request.user)
    messages.success(request, f"{stopped.what}: {stopped.taken_minutes} min.")
    return redirect("production:batch", number=number)
