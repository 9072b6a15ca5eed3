"""The page of one batch, and how its buttons answer: done, or refused with what was typed still there."""

from collections.abc import Callable

from django.contrib import messages
from django.forms import Form
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from production.batch_states import BatchState
from production.batches.asked import BatchRefusal
from production.batches.boxes import offer_scales
from production.batches.forms import CutForm, DecisionForm, ExtraForm, PourForm, ReasonForm
from production.batches.reads import BatchPage, batch_for_page, batch_page
from production.batches.weigh_form import WeighForm
from production.timers.forms import TimerForm
from soapshop.acting import act_on
from soapshop.requests import StaffRequest

# Which form stands on the page, and when: a refusal of one that is gone by now is said at the top instead.
ON_PAGE: dict[str, Callable[[BatchPage], bool]] = {
    "weigh_form": lambda page: page.next_line is not None,
    "leave_form": lambda page: page.next_line is not None,
    "undo_form": lambda page: page.batch.state == BatchState.IN_PROCESS,
    "extra_form": lambda page: page.batch.state == BatchState.IN_PROCESS,
    "pour_form": lambda page: page.can_pour,
    "cut_form": lambda page: page.batch.state == BatchState.POURED,
    "cancel_form": lambda page: page.batch.state == BatchState.PLANNED,
    "hold_form": lambda page: page.can_hold,
    "clear_form": lambda page: page.batch.state == BatchState.HELD,
    "timer_form": lambda page: page.has_timers,
    "decision_form": lambda page: bool(page.open_deviations),
}


def show_batch(request: StaffRequest, number: str, *, row: int = 0, **typed: Form) -> HttpResponse:
    """Show the batch, with a form that a person has filled in put back as it was.

    ``row`` names the line or deviation a form belongs to, where each row has one.
    """
    shown = batch_for_page(number)
    if shown is None:
        raise Http404
    today = timezone.localdate()
    page = batch_page(shown, today=today)
    for name, form in typed.items():
        if not ON_PAGE[name](page) or (row and not page.has_row(name, row)):
            messages.error(request, refusal_text(form))
            return redirect(shown)
    forms: dict[str, Form] = {
        "weigh_form": WeighForm(initial={"lot": request.GET.get("lot", "")[:40]}),
        "leave_form": ReasonForm(prefix="leave"),
        "undo_form": ReasonForm(prefix="undo"),
        "extra_form": ExtraForm(prefix="extra"),
        "pour_form": PourForm(today=today),
        "hold_form": ReasonForm(prefix="hold"),
        "clear_form": ReasonForm(prefix="clear"),
        "cancel_form": ReasonForm(prefix="cancel"),
        "decision_form": DecisionForm(),
        "timer_form": TimerForm(prefix="timer"),
    }
    if page.batch.state == BatchState.POURED:
        forms["cut_form"] = CutForm(plan=page.plan, today=today)
    forms |= typed
    if page.batch.state == BatchState.IN_PROCESS:
        offer_scales(forms["weigh_form"], forms["extra_form"])
    context = {"page": page, "batch": shown, "today": today, "row": row, **forms}
    return render(request, "production/bench/batch.html", context)


def attempt(
    request: StaffRequest,
    number: str,
    typed: dict[str, Form],
    act: Callable[[], object],
    *,
    done: str = "",
    row: int = 0,
) -> HttpResponse:
    """Do one action from the one form in ``typed``; a refusal becomes an error of that form."""
    (form,) = typed.values()
    to = reverse("production:batch", args=[number])
    led_on = act_on(request, form, act, refusal=BatchRefusal, done=done, to=to)
    return led_on or show_batch(request, number, row=row, **typed)


def refusal_text(form: Form) -> str:
    """Return what a form refuses, in one text."""
    return " ".join(dict.fromkeys(str(text) for errors in form.errors.values() for text in errors))
