"""Repack a lot of a material."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from production.stock.actions import StockRefusal, repack_lots
from production.stock.models import Lot
from production.stock.repack_forms import OTHERS, RepackForm
from soapshop.acting import act_on
from soapshop.requests import StaffRequest


@require_http_methods(["GET", "POST"])
def lot_repack(request: StaffRequest, code: str) -> HttpResponse:
    lot = get_object_or_404(Lot.objects.select_related("material"), code=code)
    today = timezone.localdate()
    others = Lot.objects.filter(material_id=lot.material_id).drawable(on=today).exclude(pk=lot.pk)[:OTHERS]
    form = RepackForm(request.POST or None, lot=lot, others=others)
    led_on = act_on(
        request,
        form,
        lambda: repack_lots(
            grams_by_lot=form.grams_by_lot,
            into=form.into,
            on=today,
            by=request.user,
            typed_once=form.cleaned_data["typed_once"],
        )[0],
        refusal=StockRefusal,
        done=lambda tub: f"{tub.code} is filled. Write the new codes on the tubs.",
    )
    context = {"lot": lot, "form": form}
    return led_on or render(request, "production/stock/repack.html", context, status=422 if form.errors else 200)
