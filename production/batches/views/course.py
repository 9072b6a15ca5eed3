"""The way of one batch after the weigh-out: pour, cut, tick, decide, hold, cancel."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from production.batches.actions.after_pour import (
    clear_hold,
    cut_batch,
    decide_deviation,
    hold_batch,
    tick_step,
    untick_step,
)
from production.batches.actions.bench import pour_batch
from production.batches.actions.cancelling import cancel_batch
from production.batches.asked import BatchRefusal
from production.batches.forms import CutForm, DecisionForm, PourForm, ReasonForm
from production.batches.models import Batch, Deviation, StepRecord
from production.batches.records import plan_of
from production.batches.views.batch_page import attempt
from soapshop.requests import StaffRequest


@require_POST
def batch_pour(request: StaffRequest, number: str) -> HttpResponse:
    found = get_object_or_404(Batch, number=number)
    form = PourForm(request.POST, today=timezone.localdate())
    return attempt(
        request,
        number,
        {"pour_form": form},
        lambda: pour_batch(
            batch_id=found.pk,
            on=form.cleaned_data["on"],
            pot_grams=form.cleaned_data["pot"],
            in_molds_grams=form.cleaned_data["in_molds"],
            left_in_pots_grams=form.cleaned_data["left_in_pots"],
            filled_to_mm=form.cleaned_data["filled_to"],
            reason=form.cleaned_data["reason"],
            by=request.user,
        ),
        done="Poured. The cure counts from that day.",
    )


@require_POST
def batch_cut(request: StaffRequest, number: str) -> HttpResponse:
    found = get_object_or_404(Batch, number=number)
    form = CutForm(request.POST, plan=plan_of(found), today=timezone.localdate())
    return attempt(
        request,
        number,
        {"cut_form": form},
        lambda: cut_batch(
            batch_id=found.pk,
            on=form.cleaned_data["on"],
            bars_by_finish=form.bars_by_finish,
            spoiled=form.cleaned_data["spoiled"] or 0,
            mean_bar_grams=form.cleaned_data["mean_bar"],
            ends_grams=form.cleaned_data["ends"],
            part_lots=form.part_lots,
            reason=form.cleaned_data["reason"],
            by=request.user,
        ),
        done="The bars are on the rack.",
    )


@require_POST
def batch_hold(request: StaffRequest, number: str) -> HttpResponse:
    found = get_object_or_404(Batch, number=number)
    form, today = ReasonForm(request.POST, prefix="hold"), timezone.localdate()
    return attempt(
        request,
        number,
        {"hold_form": form},
        lambda: hold_batch(batch_id=found.pk, reason=form.cleaned_data["reason"], by=request.user, on=today),
    )


@require_POST
def batch_clear(request: StaffRequest, number: str) -> HttpResponse:
    found = get_object_or_404(Batch, number=number)
    form, today = ReasonForm(request.POST, prefix="clear"), timezone.localdate()
    return attempt(
        request,
        number,
        {"clear_form": form},
        lambda: clear_hold(batch_id=found.pk, words=form.cleaned_data["reason"], by=request.user, on=today),
    )


@require_POST
def batch_cancel(request: StaffRequest, number: str) -> HttpResponse:
    found = get_object_or_404(Batch, number=number)
    form, today = ReasonForm(request.POST, prefix="cancel"), timezone.localdate()
    return attempt(
        request,
        number,
        {"cancel_form": form},
        lambda: cancel_batch(batch_id=found.pk, reason=form.cleaned_data["reason"], by=request.user, on=today),
        done=f"{found} is cancelled. Its bars are open for planning again.",
    )


@require_POST
def deviation_decide(request: StaffRequest, number: str, pk: int) -> HttpResponse:
    found = get_object_or_404(Deviation, pk=pk, batch__number=number)
    form = DecisionForm(request.POST)
    return attempt(
        request,
        number,
        {"decision_form": form},
        lambda: decide_deviation(
            deviation_id=found.pk,
            decision=form.cleaned_data["decision"],
            words=form.cleaned_data["words"],
            by=request.user,
        ),
        row=pk,
    )


@require_POST
def step_tick(request: StaffRequest, number: str, pk: int) -> HttpResponse:
    step = get_object_or_404(StepRecord, pk=pk, batch__number=number)
    try:
        if "undo" in request.POST:
            untick_step(step_id=step.pk, by=request.user)
        else:
            tick_step(step_id=step.pk, on=timezone.localdate(), by=request.user)
    except BatchRefusal as refusal:
        messages.error(request, str(refusal))
    if request.POST.get("back") == "today":
        return redirect("production:today")
    return redirect("production:batch", number=number)
