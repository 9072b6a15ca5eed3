"""The net weight page: the figure to print with its working, the lot weighed bar by bar, and its short bars."""

from decimal import Decimal

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from production.batches.asked import BatchRefusal
from production.labels.declared import batch_labels
from production.labels.lot_actions import set_short_bars_aside, weigh_lot
from production.labels.lot_forms import LotForm
from production.labels.lot_reads import LotPage, lot_page, printed_figure
from production.labels.models import LotWeighing
from production.labels.pages import finish_tabs
from production.labels.present import present_day
from production.labels.reads import batch_for_labels
from soapshop.requests import StaffRequest


@require_http_methods(["GET", "POST"])
def net_weight(request: StaffRequest, number: str) -> HttpResponse:
    """Show what the bars of one finish hold; the form keeps a weighing of them."""
    page = _page(request, number)
    if request.method != "POST":
        return _show(request, page, LotForm(initial={"on": timezone.localdate()}))
    form = LotForm(request.POST)
    if form.is_valid():
        try:
            row = weigh_lot(
                batch_id=page.batch.pk,
                finish=page.finish.key,
                shown_grams=form.cleaned_data["weights"],
                tare_grams=form.cleaned_data["tare"] or Decimal(0),
                scale=form.cleaned_data["scale"],
                on=form.cleaned_data["on"],
                today=timezone.localdate(),
                typed_once=form.cleaned_data["typed_once"],
                by=request.user,
            )
        except BatchRefusal as refusal:
            form.add_error("weights", str(refusal))
        else:
            messages.success(request, f"{len(row.milligrams)} bars are weighed. The label follows them from now on.")
            return redirect(_address(number, page.finish.key))
    return _show(request, page, form, status=422)


@require_POST
def set_aside(request: StaffRequest, number: str, pk: int) -> HttpResponse:
    """Make seconds of the bars that cannot hold the figure."""
    row = get_object_or_404(LotWeighing, pk=pk, batch__number=number)
    numbers = [int(each) for each in request.POST.getlist("bar") if each.isdigit()]
    try:
        set_short_bars_aside(weighing_id=row.pk, numbers=numbers, by=request.user)
    except BatchRefusal as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(
            request, f"{len(numbers)} bars are seconds now. Orders they were kept for show what they lack."
        )
    return redirect(_address(number, row.finish))


def _page(request: StaffRequest, number: str) -> LotPage:
    batch = get_object_or_404(batch_for_labels(), number=number)
    workshop, today = request.workshop, timezone.localdate()
    present = present_day([batch], workshop=workshop, market=workshop.market)
    labels = batch_labels(
        batch,
        present,
        market=workshop.market,  # type: ignore[arg-type]
        style=workshop.declaration_style,  # type: ignore[arg-type]
        on=today,
    )
    finish = labels.finish(request.GET.get("finish", "")) or next(iter(labels.finishes), None)
    if finish is None:
        raise Http404(f"{batch} has no bars to label.")
    return lot_page(batch, labels, finish, typed=request.GET.get("figure", "") or printed_figure(batch, finish.key))


def _show(request: StaffRequest, page: LotPage, form: LotForm, *, status: int = 200) -> HttpResponse:
    context = {
        "page": page,
        "batch": page.batch,
        "form": form,
        "figure": request.GET.get("figure", ""),
        "tabs": finish_tabs("production:net-weight", page.batch, page.labels, page.finish),
    }
    return render(request, "production/labels/net_weight.html", context, status=status)


def _address(number: str, finish: str) -> str:
    return f"{reverse('production:net-weight', args=[number])}?finish={finish}"
