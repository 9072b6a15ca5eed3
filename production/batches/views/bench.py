"""One batch at the bench: weigh, undo, pour, cut, tick, hold."""

from collections.abc import Callable

from django.contrib import messages
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from production.batches.actions.after_pour import (
    clear_hold,
    cut_batch,
    decide_deviation,
    hold_batch,
    tick_step,
    untick_step,
)
from production.batches.actions.bench import (
    add_unplanned,
    leave_out,
    pour_batch,
    start_batch,
    undo_weighing,
    weigh_line,
)
from production.batches.actions.cancelling import cancel_batch
from production.batches.asked import BatchRefusal
from production.batches.forms import CutForm, DecisionForm, ExtraForm, PourForm, ReasonForm, WeighForm
from production.batches.models import Batch, Deviation, StepRecord, Weighing
from production.batches.reads import batch_for_page, batch_page, bench_rows
from production.batches.records import plan_of


@require_GET
def bench(request: HttpRequest) -> HttpResponse:
    today = timezone.localdate()
    return render(request, "production/bench/bench.html", {"rows": bench_rows(today=today), "today": today})


@require_GET
def batch(request: HttpRequest, number: str) -> HttpResponse:
    return show_batch(request, number)


def show_batch(request: HttpRequest, number: str, **typed: Form) -> HttpResponse:
    """Show the batch, with forms that a person has filled in put back as they were."""
    shown = batch_for_page(number)
    if shown is None:
        raise Http404
    page = batch_page(shown)
    today = timezone.localdate()
    first = page.next_line.lots[0].code if page.next_line and page.next_line.lots else ""
    forms = {
        "weigh_form": WeighForm(initial={"lot": first}, lots="lots"),
        "extra_form": ExtraForm(),
        "pour_form": PourForm(initial={"on": today}),
        "cut_form": CutForm(plan=page.plan, initial={"on": today}),
        "hold_form": ReasonForm(prefix="hold"),
        "clear_form": ReasonForm(prefix="clear"),
        "cancel_form": ReasonForm(prefix="cancel"),
        "decision_form": DecisionForm(),
    }
    context = {"page": page, "batch": shown, "today": today, **forms, **typed}
    return render(request, "production/bench/batch.html", context)


def _try(
    request: HttpRequest, number: str, name: str, form: Form, act: Callable[[], object], done: str = ""
) -> HttpResponse:
    """Do one action from a form; a refusal becomes an error of that form, with what was typed still there."""
    if form.is_valid():
        try:
            act()
        except BatchRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            if done:
                messages.success(request, done)
            return redirect("production:batch", number=number)
    return show_batch(request, number, **{name: form})


@require_POST
def batch_start(request: HttpRequest, number: str) -> HttpResponse:
    found = get_object_or_404(Batch, number=number)
    try:
        start_batch(batch_id=found.pk, by=request.user)
    except BatchRefusal as refusal:
        messages.error(request, str(refusal))
    return redirect(found)


@require_POST
def batch_weigh(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    weighing = get_object_or_404(Weighing, pk=pk, batch__number=number)
    form = WeighForm(request.POST, lots="lots")
    return _try(
        request,
        number,
        "weigh_form",
        form,
        lambda: weigh_line(
            weighing_id=weighing.pk,
            lot_code=form.cleaned_data["lot"],
            grams=form.cleaned_data["grams"],
            what_happened=form.cleaned_data["what_happened"],
            on=timezone.localdate(),
            by=request.user,
        ),
    )


@require_POST
def batch_undo(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    weighing = get_object_or_404(Weighing, pk=pk, batch__number=number)
    try:
        undo_weighing(weighing_id=weighing.pk, reason=request.POST.get("reason", "")[:300], by=request.user)
    except BatchRefusal as refusal:
        messages.error(request, str(refusal))
    return redirect("production:batch", number=number)


@require_POST
def batch_leave_out(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    weighing = get_object_or_404(Weighing, pk=pk, batch__number=number)
    try:
        leave_out(weighing_id=weighing.pk, what_happened=request.POST.get("reason", "")[:300], by=request.user)
    except BatchRefusal as refusal:
        messages.error(request, str(refusal))
    return redirect("production:batch", number=number)


@require_POST
def batch_extra(request: HttpRequest, number: str) -> HttpResponse:
    found = get_object_or_404(Batch, number=number)
    form = ExtraForm(request.POST)
    return _try(
        request,
        number,
        "extra_form",
        form,
        lambda: add_unplanned(
            batch_id=found.pk,
            lot_code=form.cleaned_data["lot"],
            grams=form.cleaned_data["grams"],
            what_happened=form.cleaned_data["what_happened"],
            on=timezone.localdate(),
            by=request.user,
        ),
        "Written down. Judge below what it may do.",
    )


@require_POST
def batch_pour(request: HttpRequest, number: str) -> HttpResponse:
    found = get_object_or_404(Batch, number=number)
    form = PourForm(request.POST)
    return _try(
        request,
        number,
        "pour_form",
        form,
        lambda: pour_batch(
            batch_id=found.pk,
            on=form.cleaned_data["on"],
            in_molds_grams=form.cleaned_data["in_molds"],
            reason=form.cleaned_data["reason"],
            by=request.user,
        ),
        "Poured. The cure counts from that day.",
    )


@require_POST
def batch_cut(request: HttpRequest, number: str) -> HttpResponse:
    found = get_object_or_404(Batch, number=number)
    form = CutForm(request.POST, plan=plan_of(found))
    return _try(
        request,
        number,
        "cut_form",
        form,
        lambda: cut_batch(
            batch_id=found.pk,
            on=form.cleaned_data["on"],
            bars_by_finish=form.bars_by_finish,
            spoiled=form.cleaned_data["spoiled"] or 0,
            mean_bar_grams=form.cleaned_data["mean_bar"],
            ends_grams=form.cleaned_data["ends"],
            part_lots=form.part_lots,
            by=request.user,
        ),
        "The bars are on the rack.",
    )


@require_POST
def batch_hold(request: HttpRequest, number: str) -> HttpResponse:
    found = get_object_or_404(Batch, number=number)
    form = ReasonForm(request.POST, prefix="hold")
    return _try(
        request,
        number,
        "hold_form",
        form,
        lambda: hold_batch(
            batch_id=found.pk, reason=form.cleaned_data["reason"], by=request.user, on=timezone.localdate()
        ),
    )


@require_POST
def batch_clear(request: HttpRequest, number: str) -> HttpResponse:
    found = get_object_or_404(Batch, number=number)
    form = ReasonForm(request.POST, prefix="clear")
    return _try(
        request,
        number,
        "clear_form",
        form,
        lambda: clear_hold(
            batch_id=found.pk, words=form.cleaned_data["reason"], by=request.user, on=timezone.localdate()
        ),
    )


@require_POST
def batch_cancel(request: HttpRequest, number: str) -> HttpResponse:
    found = get_object_or_404(Batch, number=number)
    form = ReasonForm(request.POST, prefix="cancel")
    return _try(
        request,
        number,
        "cancel_form",
        form,
        lambda: cancel_batch(
            batch_id=found.pk, reason=form.cleaned_data["reason"], by=request.user, on=timezone.localdate()
        ),
    )


@require_POST
def deviation_decide(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    found = get_object_or_404(Deviation, pk=pk, batch__number=number)
    form = DecisionForm(request.POST)
    return _try(
        request,
        number,
        "decision_form",
        form,
        lambda: decide_deviation(
            deviation_id=found.pk,
            decision=form.cleaned_data["decision"],
            words=form.cleaned_data["words"],
            by=request.user,
        ),
    )


@require_POST
def step_tick(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    step = get_object_or_404(StepRecord, pk=pk, batch__number=number)
    if "undo" in request.POST:
        untick_step(step_id=step.pk, by=request.user)
    else:
        tick_step(step_id=step.pk, on=timezone.localdate(), by=request.user)
    if request.POST.get("back") == "today":
        return redirect("production:today")
    return redirect("production:batch", number=number)
