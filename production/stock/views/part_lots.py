"""Lots of parts: make or receive pieces, count them, hold and clear."""

from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from production.stock.actions import (
    StockRefusal,
    clear_part_lot,
    count_parts,
    hold_part_lot,
    look_at_parts,
    make_part_lot,
)
from production.stock.forms import CountForm, LookForm, PartLotForm, ReasonForm
from production.stock.lot_reads import part_moves
from production.stock.models import PartLot
from soapshop.acting import act_on
from soapshop.requests import StaffRequest


@require_http_methods(["GET", "POST"])
def part_lot_new(request: StaffRequest) -> HttpResponse:
    typed = request.POST if request.method == "POST" else None
    form = PartLotForm(typed, today=timezone.localdate(), initial={"part": request.GET.get("part")})
    led_on = act_on(
        request,
        form,
        lambda: make_part_lot(by=request.user, **form.cleaned_data),
        refusal=StockRefusal,
        done=lambda lot: f"{lot.code} is in the book. Write that code on the box.",
    )
    return led_on or render(
        request, "production/stock/part_lot_new.html", {"form": form}, status=422 if form.errors else 200
    )


@require_GET
def part_lot(request: StaffRequest, code: str) -> HttpResponse:
    return _show(request, code)


def _show(request: StaffRequest, code: str, **typed: Form) -> HttpResponse:
    shown = get_object_or_404(PartLot.objects.select_related("part"), code=code)
    today = timezone.localdate()
    context = {
        "lot": shown,
        "is_out_of_date": shown.is_out_of_date(today),
        "moves": part_moves(shown),
        "count_form": CountForm(prefix="count"),
        "look_form": LookForm(prefix="look", initial={"is_wrapped": shown.is_wrapped}),
        "hold_form": ReasonForm(prefix="hold"),
        "clear_form": ReasonForm(prefix="clear"),
        "today": today,
        "open_form": next(iter(typed), ""),
        **typed,
    }
    return render(request, "production/stock/part_lot.html", context, status=422 if typed else 200)


@require_POST
def part_lot_count(request: StaffRequest, code: str) -> HttpResponse:
    found = get_object_or_404(PartLot, code=code)
    form = CountForm(request.POST, prefix="count")
    led_on = act_on(
        request,
        form,
        lambda: count_parts(part_lot_id=found.pk, by=request.user, **form.cleaned_data),
        refusal=StockRefusal,
        done=f"{found.code}: the book now says what you counted.",
        to=found,
    )
    return led_on or _show(request, code, count_form=form)


@require_POST
def part_lot_look(request: StaffRequest, code: str) -> HttpResponse:
    found = get_object_or_404(PartLot, code=code)
    form = LookForm(request.POST, prefix="look")
    led_on = act_on(
        request,
        form,
        lambda: look_at_parts(part_lot_id=found.pk, on=timezone.localdate(), by=request.user, **form.cleaned_data),
        refusal=StockRefusal,
        done=f"{found.code}: it is noted how the pieces are.",
        to=found,
    )
    return led_on or _show(request, code, look_form=form)


@require_POST
def part_lot_hold(request: StaffRequest, code: str) -> HttpResponse:
    found = get_object_or_404(PartLot, code=code)
    form = ReasonForm(request.POST, prefix="hold")
    led_on = act_on(
        request,
        form,
        lambda: hold_part_lot(part_lot_id=found.pk, reason=form.cleaned_data["reason"], by=request.user),
        refusal=StockRefusal,
        done=f"{found.code} is on hold.",
        to=found,
    )
    return led_on or _show(request, code, hold_form=form)


@require_POST
def part_lot_clear(request: StaffRequest, code: str) -> HttpResponse:
    found = get_object_or_404(PartLot, code=code)
    form = ReasonForm(request.POST, prefix="clear")
    led_on = act_on(
        request,
        form,
        lambda: clear_part_lot(part_lot_id=found.pk, reason=form.cleaned_data["reason"], by=request.user),
        refusal=StockRefusal,
        done=f"{found.code} may be used again.",
        to=found,
    )
    return led_on or _show(request, code, clear_form=form)
