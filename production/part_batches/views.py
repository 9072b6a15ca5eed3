"""The pages of a batch of parts: plan it, its ticket, weigh and pour, count onto the shelf."""

from collections.abc import Callable

from django.contrib import messages
from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from formulas.models import Part
from production.batches.asked import BatchRefusal
from production.part_batches.actions import (
    count_part_ticket,
    give_up_part_batch,
    plan_part_batch,
    pour_part_batch,
    shelve_part_batch,
)
from production.part_batches.forms import GiveUpForm, PlanPartsForm, ShelveForm, WeighPartsForm
from production.part_batches.models import PartBatch
from production.part_batches.reads import first_lots, part_batch_page
from production.part_batches.ticket import part_ticket_pdf
from soapshop.acting import act_on
from soapshop.paper import PaperRefused, PaperUnavailable
from soapshop.requests import StaffRequest


@require_http_methods(["GET", "POST"])
def part_batch_new(request: StaffRequest, part_id: int) -> HttpResponse:
    part = get_object_or_404(Part.objects.select_related("formula"), pk=part_id)
    form = PlanPartsForm(request.POST or None, today=timezone.localdate())
    if form.is_valid():
        try:
            batch = plan_part_batch(part_id=part.pk, by=request.user, **form.cleaned_data)
        except BatchRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"{batch.number} is planned. Print its ticket, then weigh it.")
            return redirect(batch)
    context = {"part": part, "form": form}
    return render(request, "production/part_batches/new.html", context, status=422 if form.is_bound else 200)


@require_GET
def part_batch(request: StaffRequest, number: str) -> HttpResponse:
    return _show(request, number)


def _show(request: StaffRequest, number: str, **typed: Form) -> HttpResponse:
    shown = get_object_or_404(PartBatch.objects.for_page(), number=number)
    today = timezone.localdate()
    context = {
        "batch": shown,
        "page": part_batch_page(shown),
        "weigh_form": _weigh_form(shown, None),
        "shelve_form": ShelveForm(initial={"pieces": shown.planned_pieces}),
        "give_up_form": GiveUpForm(prefix="give-up"),
        "today": today,
        **typed,
    }
    return render(request, "production/part_batches/part_batch.html", context, status=422 if typed else 200)


def _weigh_form(batch: PartBatch, request: StaffRequest | None) -> WeighPartsForm:
    lines = list(batch.weighings.all())
    today = timezone.localdate()
    lots = first_lots(lines, today=today) if batch.status == "planned" else {}
    return WeighPartsForm(request.POST if request else None, lines=lines, lots=lots, today=today)


def _attempt(request: StaffRequest, batch: PartBatch, name: str, form: Form, act: Callable[[], object]) -> HttpResponse:
    led_on = act_on(request, form, act, refusal=BatchRefusal, to=batch)
    return led_on or _show(request, batch.number, **{name: form})


@require_POST
def part_batch_pour(request: StaffRequest, number: str) -> HttpResponse:
    batch = get_object_or_404(PartBatch.objects.for_page(), number=number)
    form = _weigh_form(batch, request)
    return _attempt(
        request,
        batch,
        "weigh_form",
        form,
        lambda: pour_part_batch(
            part_batch_id=batch.pk,
            weights=form.weights,
            made_on=form.cleaned_data["made_on"],
            what_happened=form.cleaned_data["what_happened"],
            by=request.user,
        ),
    )


@require_POST
def part_batch_shelve(request: StaffRequest, number: str) -> HttpResponse:
    batch = get_object_or_404(PartBatch, number=number)
    form = ShelveForm(request.POST)
    return _attempt(
        request,
        batch,
        "shelve_form",
        form,
        lambda: shelve_part_batch(part_batch_id=batch.pk, by=request.user, **form.cleaned_data),
    )


@require_POST
def part_batch_give_up(request: StaffRequest, number: str) -> HttpResponse:
    batch = get_object_or_404(PartBatch, number=number)
    form = GiveUpForm(request.POST, prefix="give-up")
    return _attempt(
        request,
        batch,
        "give_up_form",
        form,
        lambda: give_up_part_batch(part_batch_id=batch.pk, reason=form.cleaned_data["reason"], by=request.user),
    )


@require_http_methods(["GET", "POST"])
def part_batch_ticket(request: StaffRequest, number: str) -> HttpResponse:
    """GET shows the ticket as the next copy would be; POST prints it, which counts and numbers the copy."""
    found = get_object_or_404(PartBatch.objects.for_page(), number=number)
    try:
        pdf = part_ticket_pdf(
            found,
            printed_at=timezone.localtime(),
            printed_by=request.user.display_name,
            scan_text=request.build_absolute_uri(found.get_absolute_url()),
        )
    except (PaperUnavailable, PaperRefused) as refusal:
        messages.error(request, str(refusal))
        return redirect(found)
    if request.method == "POST":
        count_part_ticket(part_batch_id=found.pk, by=request.user)
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="ticket-{found.number}.pdf"'
    return response
