"""The bench: which batches wait, and the weigh-out of one, line by line."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from production.batches.actions.bench import start_batch, undo_weighing, weigh_line
from production.batches.actions.off_ticket import add_unplanned, leave_out
from production.batches.actions.parts_of_lines import weigh_part
from production.batches.asked import BatchRefusal
from production.batches.forms import ExtraForm, ReasonForm
from production.batches.models import Batch, Weighing
from production.batches.reads import bench_rows
from production.batches.views.batch_page import attempt, show_batch
from production.batches.weigh_form import WeighForm
from production.part_batches.reads import unfinished_part_batches
from production.scales.choice import nearly_full
from soapshop.acting import press
from soapshop.requests import StaffRequest


@require_GET
def bench(request: StaffRequest) -> HttpResponse:
    today = timezone.localdate()
    context = {"rows": bench_rows(today=today), "part_rows": unfinished_part_batches(), "today": today}
    return render(request, "production/bench/bench.html", context)


@require_GET
def batch(request: StaffRequest, number: str) -> HttpResponse:
    return show_batch(request, number)


@require_POST
def batch_start(request: StaffRequest, number: str) -> HttpResponse:
    found = get_object_or_404(Batch, number=number)
    return press(request, lambda: start_batch(batch_id=found.pk, by=request.user), refusal=BatchRefusal, to=found)


@require_POST
def batch_weigh(request: StaffRequest, number: str, pk: int) -> HttpResponse:
    """Write down the next line. One that was weighed meanwhile is never mistaken for the line after it."""
    if not Weighing.objects.filter(pk=pk, batch__number=number).exists():
        raise Http404
    form = WeighForm(request.POST)
    return attempt(request, number, {"weigh_form": form}, lambda: _weigh(pk, form, request), row=pk)


def _weigh(weighing_id: int, form: WeighForm, request: StaffRequest) -> None:
    given, on = form.cleaned_data, timezone.localdate()
    told = {
        "weighing_id": weighing_id,
        "lot_code": given["lot"],
        "grams": given["grams"],
        "scale": given["scale"],
        "vessel_grams": given["vessel"],
        "typed_once": given["typed_once"],
        "on": on,
        "by": request.user,
    }
    done = weigh_part(**told) if given["is_part"] else weigh_line(**told, what_happened=given["what_happened"])
    if not done.is_weighed:
        messages.warning(request, f"{done.material} was taken back after it was sent. Weigh it again.")
    elif done.on_scale and (note := nearly_full(given["grams"] + given["vessel"], done.on_scale.figures)):
        messages.info(request, note)


@require_POST
def batch_undo(request: StaffRequest, number: str, pk: int) -> HttpResponse:
    get_object_or_404(Batch, number=number)
    form = ReasonForm(request.POST, prefix="undo")
    return attempt(
        request,
        number,
        {"undo_form": form},
        lambda: undo_weighing(weighing_id=pk, reason=form.cleaned_data["reason"], by=request.user),
        done="Undone. The grams are back in their lot.",
        row=pk,
    )


@require_POST
def batch_leave_out(request: StaffRequest, number: str, pk: int) -> HttpResponse:
    get_object_or_404(Weighing, pk=pk, batch__number=number)
    form = ReasonForm(request.POST, prefix="leave")
    return attempt(
        request,
        number,
        {"leave_form": form},
        lambda: leave_out(weighing_id=pk, what_happened=form.cleaned_data["reason"], by=request.user),
        row=pk,
    )


@require_POST
def batch_extra(request: StaffRequest, number: str) -> HttpResponse:
    found = get_object_or_404(Batch, number=number)
    form = ExtraForm(request.POST, prefix="extra")
    return attempt(
        request,
        number,
        {"extra_form": form},
        lambda: add_unplanned(
            batch_id=found.pk,
            lot_code=form.cleaned_data["lot"],
            grams=form.cleaned_data["grams"],
            what_happened=form.cleaned_data["what_happened"],
            scale=form.cleaned_data["scale"],
            typed_once=form.cleaned_data["typed_once"],
            on=timezone.localdate(),
            by=request.user,
        ),
        done="Written down. Judge below what it may do.",
    )
