"""Something went otherwise: choose what, fill in two boxes, and read what it does to the pot."""

from datetime import date

from django.db.models import QuerySet
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from production.batches.asked import BatchRefusal
from production.batches.models import Batch
from production.batches.otherwise import ALL, BY_KEY
from production.stock.models import Lot
from soapshop.acting import act_on
from soapshop.requests import StaffRequest

SHOWN_LOTS = 200


@require_http_methods(["GET", "POST"])
def batch_otherwise(request: StaffRequest, number: str) -> HttpResponse:
    """Without ``what`` in the address it offers the kinds, with it the form of one kind."""
    found = get_object_or_404(Batch.objects.select_related("design"), number=number)
    chosen, today = BY_KEY.get(request.GET.get("what", "")), timezone.localdate()
    form = chosen.form(request.POST if request.method == "POST" else None, batch=found) if chosen else None
    if chosen is not None and form is not None and form.is_bound:
        led_on = act_on(
            request,
            form,
            lambda: chosen.act(found, form.cleaned_data, today, request.user),
            refusal=BatchRefusal,
            done="Written down, with what it does. Decide on it below.",
            to=f"{found.get_absolute_url()}#deviations-heading",
        )
        if led_on is not None:
            return led_on
    context = {
        "batch": found,
        "chosen": chosen,
        "form": form,
        "kinds": [] if chosen else [kind for kind in ALL if kind.can_happen(found)],
        "lots": _tubs(today) if chosen and chosen.names_a_tub else (),
    }
    return render(request, "production/bench/otherwise.html", context, status=422 if form and form.errors else 200)


def _tubs(today: date) -> QuerySet[Lot]:
    return Lot.objects.drawable(on=today).select_related("material")[:SHOWN_LOTS]
