"""The label pages: what can be printed, one batch's labels, how a list came about, and the papers themselves."""

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_GET, require_http_methods

from production.batches.models import Batch
from production.batches.records import plan_of
from production.documents.batch_paper import batch_paper_pdf
from production.documents.declaration_sheet import declaration_sheet_pdf
from production.labels.actions import print_labels, reprinted_pdf
from production.labels.bars import bars_by_finish
from production.labels.batch_papers import PAPERS, batch_paper
from production.labels.declaration_paper import declaration_paper
from production.labels.declared import BatchLabels, FinishLabel, batch_labels
from production.labels.desk import desk_of
from production.labels.forms import LabelForm, MarketForm
from production.labels.jobs import new_sheet_pdf
from production.labels.label_list import label_page
from production.labels.models import LabelPrint
from production.labels.pages import batch_page, list_lead, plain_choices, working_page
from production.labels.present import present_day
from production.labels.reads import batch_for_labels, usual_stock
from production.labels.sheets import LabelRefusal, PreparedLabel, prepare_label, trial_paper
from soapshop.models import Workshop
from soapshop.paper import PaperRefused, PaperUnavailable
from soapshop.paper_press import print_beside
from soapshop.requests import StaffRequest


@require_GET
def label_list(request: StaffRequest) -> HttpResponse:
    shown = request.GET.get("show", "")
    page = label_page(shown, request.GET.get("page"), workshop=request.workshop, on=timezone.localdate())
    context = {"rows": page.object_list, "page": page, "shown": shown, "lead": list_lead(page)}
    return render(request, "production/labels/label_list.html", context)


@require_http_methods(["GET", "POST"])
def batch_label_page(request: StaffRequest, number: str) -> HttpResponse:
    """Show one finish of a batch; the buttons show it anew, print a trial or print for sale."""
    batch, today = _batch(number), timezone.localdate()
    workshop: Workshop = request.workshop
    key = _finish_key(request, batch)
    if key is None:
        return render(request, "production/labels/no_bars.html", {"batch": batch})
    desk = desk_of(batch, usual_stock(workshop))
    ask, initial, wordings = plain_choices(batch, key, desk, workshop=workshop, on=today)
    form = LabelForm(request.POST or None, initial=initial, wordings=wordings, desk=desk)
    if form.is_valid():
        ask = form.ask(key)
    prepared = prepare_label(batch, ask, workshop=workshop, on=today, desk=desk)
    if form.is_valid() and request.POST.get("do") in ("print", "trial"):
        answer = _printed(request, batch, prepared, form)
        if answer is not None:
            return answer
    context = batch_page(batch, prepared, form, desk)
    return render(request, "production/labels/batch_labels.html", context)


def _printed(request: StaffRequest, batch: Batch, prepared: PreparedLabel, form: LabelForm) -> HttpResponse | None:
    """Print, or write the refusal into the form and return None."""
    try:
        if request.POST["do"] == "trial":
            trial = new_sheet_pdf(trial_paper(prepared))
            return _pdf(trial, f"trial-{batch.number}-{prepared.finish.key}")
        kept = print_labels(
            batch_id=batch.pk,
            ask=prepared.ask,
            reason=form.cleaned_data["reason"],
            on=prepared.labels.on,
            by=request.user,
            typed_once=form.cleaned_data["typed_once"],
        )
    except PaperUnavailable as missing:
        return _no_paper(request, missing)
    except (LabelRefusal, PaperRefused) as refusal:
        form.add_error(None, str(refusal))
        return None
    messages.success(request, f"{kept.copies} labels are made and kept. Open the sheet below and print it unscaled.")
    query = urlencode({"finish": kept.finish, "printed": kept.pk})
    return redirect(f"{reverse('production:batch-labels', args=[batch.number])}?{query}#prints")


@require_GET
def label_working(request: StaffRequest, number: str) -> HttpResponse:
    batch = _batch(number)
    labels, finish, form = _asked_list(request, batch)
    return render(request, "production/labels/working.html", working_page(batch, labels, finish, form))


@require_GET
def declaration_pdf(request: StaffRequest, number: str) -> HttpResponse:
    batch = _batch(number)
    labels, finish, form = _asked_list(request, batch)
    try:
        paper = declaration_paper(
            batch,
            labels,
            finish,
            workshop=request.workshop,
            printed_at=timezone.localtime(),
            printed_by=request.user.display_name,
        )
        pdf = print_beside(declaration_sheet_pdf, paper)
    except PaperUnavailable as missing:
        return _no_paper(request, missing)
    except (LabelRefusal, PaperRefused) as refusal:
        context = working_page(batch, labels, finish, form) | {"refusal": str(refusal)}
        return render(request, "production/labels/working.html", context, status=422)
    return _pdf(pdf, f"ingredients-{batch.number}-{finish.key}-{labels.market}")


@require_GET
def batch_paper_page(request: StaffRequest, number: str, kind: str) -> HttpResponse:
    """Certificate, allergen table or product information summary as PDF."""
    if kind not in PAPERS:
        raise Http404("There is no paper of that kind.")
    batch = _batch(number)
    labels, finish, form = _asked_list(request, batch)
    try:
        paper = batch_paper(
            kind,
            batch,
            labels,
            finish,
            workshop=request.workshop,
            printed_at=timezone.localtime(),
            printed_by=request.user.display_name,
        )
        pdf = print_beside(batch_paper_pdf, paper)
    except PaperUnavailable as missing:
        return _no_paper(request, missing)
    except (LabelRefusal, PaperRefused) as refusal:
        context = working_page(batch, labels, finish, form) | {"refusal": str(refusal)}
        return render(request, "production/labels/working.html", context, status=422)
    return _pdf(pdf, f"{kind}-{batch.number}-{finish.key}-{labels.market}")


@require_GET
def label_print(request: StaffRequest, number: str, pk: int) -> HttpResponse:
    """Show printed labels again from their frozen copy. Where the bytes would differ, that is said first."""
    kept = get_object_or_404(LabelPrint.objects.select_related("batch"), batch__number=number, pk=pk)
    try:
        pdf, is_same = reprinted_pdf(kept)
    except PaperUnavailable as missing:
        return _no_paper(request, missing)
    except PaperRefused as refusal:
        return render(request, "production/labels/reprint.html", {"kept": kept, "refusal": str(refusal)}, status=422)
    if not is_same and request.GET.get("layout") != "new":
        return render(request, "production/labels/reprint.html", {"kept": kept}, status=409)
    return _pdf(pdf, f"labels-{kept.batch.number}-{kept.pk}")


def _batch(number: str) -> Batch:
    found: Batch = get_object_or_404(batch_for_labels(), number=number)
    return found


def _finish_key(request: HttpRequest, batch: Batch) -> str | None:
    """The finish that was asked for, else the first; None when the batch has no bars to label."""
    wanted = request.POST.get("finish") or request.GET.get("finish") or ""
    keys = bars_by_finish(batch, plan_of(batch))
    return wanted if wanted in keys else next(iter(keys), None)


def _asked_list(request: StaffRequest, batch: Batch) -> tuple[BatchLabels, FinishLabel, MarketForm]:
    """The list for the market and style in the address, else the workshop's own."""
    workshop = request.workshop
    own = {"market": workshop.market, "style": workshop.declaration_style}
    form = MarketForm({name: request.GET.get(name, "") or usual for name, usual in own.items()})
    chosen: dict[str, Any] = form.cleaned_data if form.is_valid() else own
    present = present_day([batch], workshop=workshop, market=chosen["market"])
    labels = batch_labels(batch, present, market=chosen["market"], style=chosen["style"], on=timezone.localdate())
    finish = labels.finish(request.GET.get("finish", "")) or next(iter(labels.finishes), None)
    if finish is None:
        raise Http404(f"{batch} has no bars to label.")
    return labels, finish, form


def _no_paper(request: HttpRequest, missing: PaperUnavailable) -> HttpResponse:
    return render(request, "production/labels/no_paper.html", {"words": str(missing)}, status=503)


def _pdf(pdf: bytes, name: str) -> HttpResponse:
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{slugify(name)}.pdf"'
    return response
