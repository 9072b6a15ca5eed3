"""Own soap: what lies on the shelf, a rebatch of it, scraps into stock, a batch made over, a mold filled from pots."""

from django.db.models import Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from formulas.models import Material
from production.batch_states import BatchState
from production.batches.asked import BatchRefusal
from production.batches.models import Batch
from production.batches.outcome import shelf_lots
from production.leftovers.actions.rebatch import plan_rebatch
from production.leftovers.actions.scraps import rework_batch, stock_scraps
from production.leftovers.actions.second_mold import fill_from_pots
from production.leftovers.forms import PourOnForm, RebatchForm, ReworkForm, ScrapsForm
from production.lot_states import LotState
from production.stock.models import Lot
from soapshop.acting import act_on
from soapshop.requests import StaffRequest


@require_GET
def own_soap(request: StaffRequest) -> HttpResponse:
    lots = shelf_lots()
    free = [lot for lot in lots if lot.status == LotState.RELEASED]
    return render(request, "production/leftovers/own_soap.html", {"lots": lots, "free": free})


@require_http_methods(["GET", "POST"])
def rebatch_new(request: StaffRequest) -> HttpResponse:
    today = timezone.localdate()
    lots = Lot.objects.filter(pk__in=[lot.pk for lot in shelf_lots()]).drawable(on=today)
    lots = lots.prefetch_related("origins__from_batch__design")
    initial = {"cure_days": request.workshop.cure_days, "pour_on": today}
    form = RebatchForm(request.POST or None, lots=lots, initial=initial)
    led_on = act_on(
        request,
        form,
        lambda: plan_rebatch(
            grams_by_lot=form.grams_by_lot,
            additions=form.additions,
            design_id=form.cleaned_data["design"].pk,
            mold_id=form.cleaned_data["mold"].pk,
            mold_count=form.cleaned_data["mold_count"],
            bars=form.cleaned_data["bars"],
            cure_days=form.cleaned_data["cure_days"],
            least_cure_days=form.cleaned_data["least_cure_days"],
            pour_on=form.cleaned_data["pour_on"],
            by=request.user,
        ),
        refusal=BatchRefusal,
        done=lambda batch: f"{batch} is planned. It inherits everything its soap holds.",
    )
    context = {"form": form, "materials": Material.objects.in_use().order_by("name").values_list("name", flat=True)}
    status = 422 if form.errors else 200
    return led_on or render(request, "production/leftovers/rebatch_new.html", context, status=status)


@require_http_methods(["GET", "POST"])
def scraps_new(request: StaffRequest, number: str) -> HttpResponse:
    batch = get_object_or_404(Batch.objects.select_related("design"), number=number)
    form = ScrapsForm(request.POST or None, today=timezone.localdate(), initial={"grams": _ends_text(batch)})
    led_on = act_on(
        request,
        form,
        lambda: stock_scraps(batch_id=batch.pk, by=request.user, **form.cleaned_data),
        refusal=BatchRefusal,
        done=lambda lot: f"{lot.code} is in the book. Write that code on the tub.",
    )
    context = {"form": form, "batch": batch}
    status = 422 if form.errors else 200
    return led_on or render(request, "production/leftovers/scraps_new.html", context, status=status)


def _ends_text(batch: Batch) -> str:
    """Offer what the ends weighed at the cut, while none of it is in stock."""
    is_first = batch.ends_grams is not None and not batch.became.exists()
    return f"{batch.ends_grams.normalize():f}" if is_first and batch.ends_grams else ""


@require_http_methods(["GET", "POST"])
def batch_rework(request: StaffRequest, number: str) -> HttpResponse:
    batch = get_object_or_404(Batch.objects.select_related("design"), number=number)
    form = ReworkForm(request.POST or None)
    led_on = act_on(
        request,
        form,
        lambda: rework_batch(batch_id=batch.pk, on=timezone.localdate(), by=request.user, **form.cleaned_data),
        refusal=BatchRefusal,
        done=lambda lot: f"{batch} is given up to be made over; its soap is {lot.code}.",
    )
    context = {"form": form, "batch": batch}
    status = 422 if form.errors else 200
    return led_on or render(request, "production/leftovers/rework.html", context, status=status)


@require_http_methods(["GET", "POST"])
def fill_mold(request: StaffRequest, number: str) -> HttpResponse:
    """Batter of this pot, and of any other that is fresh today, into a mold of its own."""
    today = timezone.localdate()
    batch = get_object_or_404(Batch.objects.select_related("design"), number=number)
    fresh = Q(status=BatchState.IN_PROCESS.value) | Q(status=BatchState.POURED.value, poured_on=today)
    others = Batch.objects.filter(fresh).exclude(pk=batch.pk).select_related("design").order_by("number")
    form = PourOnForm(request.POST or None, pots=[batch, *others])
    led_on = act_on(
        request,
        form,
        lambda: fill_from_pots(
            grams_by_batch=form.grams_by_batch,
            mold_id=form.cleaned_data["mold"].pk,
            mold_count=form.cleaned_data["mold_count"],
            bars=form.cleaned_data["bars"],
            on=today,
            by=request.user,
        ),
        refusal=BatchRefusal,
        done=lambda made: f"{made} holds the batter. Write down what goes into this mold alone, then pour.",
    )
    context = {"form": form, "batch": batch}
    status = 422 if form.errors else 200
    return led_on or render(request, "production/leftovers/fill_mold.html", context, status=status)
