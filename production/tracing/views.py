"""Find where something came from and where it went; recalls and drills."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from production.documents.batch_paper import BatchPaper, batch_paper_pdf
from production.tracing.actions import (
    RecallRefusal,
    finish_recall,
    hold_what_is_named,
    note_contact,
    recall_trace,
    start_drill,
    start_recall,
)
from production.tracing.forms import ContactForm, FinishForm, RecallForm
from production.tracing.models import Recall
from production.tracing.paper import recall_paper, trace_paper
from production.tracing.reads import batch_rows, trace_page, whole_trace
from production.tracing.recall_reads import contacts_of, recall_view
from production.tracing.subjects import NotFound, find_subject
from production.tracing.trace_json import trace_json
from production.tracing.words import answer
from soapshop.acting import act_on
from soapshop.paper import PaperRefused, PaperUnavailable
from soapshop.paper_press import print_beside
from soapshop.requests import StaffRequest

NEWEST = 20


@require_GET
def trace(request: StaffRequest) -> HttpResponse:
    typed = request.GET.get("what", "")[:200]
    recalls = Recall.objects.select_related("started_by").defer("found")[:NEWEST]
    context: dict[str, Any] = {"typed": typed, "recalls": recalls}
    if not typed.strip():
        return render(request, "production/tracing/trace.html", context)
    try:
        subject = find_subject(typed)
    except NotFound as refusal:
        return render(request, "production/tracing/trace.html", context | {"refusal": str(refusal)}, status=404)
    pages = trace_page(subject, batch_page=request.GET.get("batches"), call_page=request.GET.get("orders"))
    context |= {"subject": subject, "pages": pages, "trace": pages.trace, "answer": answer(pages.trace)}
    context["trace_rows"] = batch_rows(pages.trace)
    return render(request, "production/tracing/trace.html", context)


@require_GET
def trace_pdf(request: StaffRequest) -> HttpResponse:
    try:
        found = whole_trace(find_subject(request.GET.get("what", "")))
    except NotFound as refusal:
        messages.error(request, str(refusal))
        return redirect("production:trace")
    paper = trace_paper(
        found, workshop=request.workshop, printed_at=timezone.localtime(), printed_by=request.user.display_name
    )
    return _paper(request, paper, f"trace-{found.asked}")


@require_GET
def trace_file(request: StaffRequest) -> HttpResponse:
    """Hand out the whole trace as a file: the same figures as the command prints."""
    try:
        found = whole_trace(find_subject(request.GET.get("what", "")))
    except NotFound as refusal:
        messages.error(request, str(refusal))
        return redirect("production:trace")
    response = JsonResponse(trace_json(found), json_dumps_params={"indent": 2, "ensure_ascii": False})
    response["Content-Disposition"] = f'attachment; filename="{_plain(f"trace-{found.asked}")}.json"'
    return response


@require_http_methods(["GET", "POST"])
def recall_new(request: StaffRequest) -> HttpResponse:
    form = RecallForm(
        request.POST if request.method == "POST" else None, initial={"typed": request.GET.get("what", "")[:80]}
    )
    if form.is_valid():
        try:
            recall = start_recall(kind=Recall.Kind.RECALL, by=request.user, **form.cleaned_data)
        except RecallRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            return redirect(recall)
    return render(request, "production/tracing/recall_new.html", {"form": form}, status=422 if form.errors else 200)


@require_POST
def drill_new(request: StaffRequest) -> HttpResponse:
    try:
        return redirect(start_drill(by=request.user))
    except RecallRefusal as refusal:
        messages.error(request, str(refusal))
    return redirect("production:trace")


@require_GET
def recall(request: StaffRequest, number: str) -> HttpResponse:
    return _show(request, number)


def _show(request: StaffRequest, number: str, **typed: ContactForm | FinishForm) -> HttpResponse:
    found = get_object_or_404(Recall.objects.select_related("started_by", "finished_by"), number=number)
    context = {
        "recall": found,
        "view": recall_view(found, recall_trace(found)),
        "contact_form": ContactForm(prefix="contact"),
        "finish_form": FinishForm(prefix="finish", is_drill=found.is_drill),
        "open_form": next(iter(typed), ""),
        **typed,
    }
    return render(request, "production/tracing/recall.html", context, status=422 if typed else 200)


@require_POST
def recall_contact(request: StaffRequest, number: str) -> HttpResponse:
    found = get_object_or_404(Recall, number=number)
    form = ContactForm(request.POST, prefix="contact")
    if form.is_valid():
        told = form.cleaned_data | {"bars_back": form.cleaned_data["bars_back"] or 0}
        try:
            note_contact(recall_id=found.pk, by=request.user, **told)
        except RecallRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "Noted.")
            return redirect(found)
    return _show(request, number, contact_form=form)


@require_POST
def recall_hold(request: StaffRequest, number: str) -> HttpResponse:
    found = get_object_or_404(Recall, number=number)
    try:
        stopped = hold_what_is_named(recall_id=found.pk, on=timezone.localdate(), by=request.user)
    except RecallRefusal as refusal:
        messages.error(request, str(refusal))
    else:
        text = f"On hold now: {', '.join(stopped)}." if stopped else "Everything named stood still already."
        messages.success(request, text)
    return redirect(found)


@require_POST
def recall_finish(request: StaffRequest, number: str) -> HttpResponse:
    found = get_object_or_404(Recall, number=number)
    form = FinishForm(request.POST, prefix="finish", is_drill=found.is_drill)
    led_on = act_on(
        request,
        form,
        lambda: finish_recall(recall_id=found.pk, by=request.user, **form.cleaned_data),
        refusal=RecallRefusal,
        done=f"{found} is finished and kept.",
        to=found,
    )
    return led_on or _show(request, number, finish_form=form)


@require_GET
def recall_pdf(request: StaffRequest, number: str) -> HttpResponse:
    found = get_object_or_404(Recall.objects.select_related("started_by"), number=number)
    paper = recall_paper(
        found,
        recall_trace(found),
        contacts_of(found),
        workshop=request.workshop,
        printed_at=timezone.localtime(),
        printed_by=request.user.display_name,
    )
    return _paper(request, paper, f"{found.kind}-{found.number}")


def _paper(request: StaffRequest, paper: BatchPaper, name: str) -> HttpResponse:
    try:
        pdf = print_beside(batch_paper_pdf, paper)
    except (PaperUnavailable, PaperRefused) as refusal:
        messages.error(request, str(refusal))
        return redirect("production:trace")
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{_plain(name)}.pdf"'
    return response


def _plain(name: str) -> str:
    return "".join(sign for sign in name if sign.isascii() and (sign.isalnum() or sign == "-"))
