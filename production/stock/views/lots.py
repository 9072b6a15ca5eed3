"""One lot of a material: receive it, look at it, release, hold, reject, weigh back, take out."""

from collections.abc import Callable

from django.contrib import messages
from django.core.paginator import Paginator
from django.db import transaction
from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from formulas.models import Material
from production.lot_states import LotState
from production.stock.actions import (
    StockRefusal,
    move_lot,
    receive_lot,
    save_supplier,
    set_use_by,
    throw_away,
    weigh_back,
)
from production.stock.forms import ReasonForm, TakeOutForm, UseByForm, WeighBackForm
from production.stock.lot_reads import lot_page, moves_with_balance
from production.stock.models import Lot, Supplier
from production.stock.receive_form import ReceiveForm
from soapshop.acting import act_on, press
from soapshop.requests import StaffRequest

PAGE_SIZE = 100


@require_http_methods(["GET", "POST"])
def receive(request: StaffRequest) -> HttpResponse:
    today = timezone.localdate()
    initial = {"material": request.GET.get("material", "")[:120]}
    typed = request.POST if request.method == "POST" else None
    form = ReceiveForm(typed, today=today, currency=request.workshop.currency, initial=initial)
    if form.is_valid():
        try:
            lot = _receive(request, form)
        except StockRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"{lot.code} is in the book. Write that code on the pack.")
            return redirect(lot)
    context = {
        "form": form,
        "materials": Material.objects.in_use().order_by("name").values_list("name", flat=True),
        "suppliers": Supplier.objects.values_list("name", flat=True),
    }
    return render(request, "production/stock/receive.html", context, status=422 if form.errors else 200)


@transaction.atomic
def _receive(request: StaffRequest, form: ReceiveForm) -> Lot:
    given = form.cleaned_data
    name = given["supplier"]
    return receive_lot(
        material=given["material"],
        received_on=given["received_on"],
        grams=given["grams"],
        by=request.user,
        typed_once=given["typed_once"],
        supplier=save_supplier(name=name, lead_days=None, by=request.user) if name else None,
        **form.details,
    )


@require_GET
def lot(request: StaffRequest, code: str) -> HttpResponse:
    return _show(request, code)


def _show(request: StaffRequest, code: str, **typed: Form) -> HttpResponse:
    """Show the lot, with a form that was refused put back as it was typed."""
    shown = get_object_or_404(Lot.objects.select_related("material", "supplier"), code=code)
    today = timezone.localdate()
    forms = {
        "release_form": ReasonForm(prefix="release"),
        "hold_form": ReasonForm(prefix="hold"),
        "reject_form": ReasonForm(prefix="reject"),
        "weigh_form": WeighBackForm(prefix="weigh"),
        "out_form": TakeOutForm(prefix="out"),
        "use_by_form": UseByForm(prefix="use-by"),
    }
    context = {
        "lot": shown,
        "view": lot_page(shown, today=today),
        "page": Paginator(moves_with_balance(shown), PAGE_SIZE).get_page(request.GET.get("page")),
        "today": today,
        "open_form": next(iter(typed), ""),
        **forms,
        **typed,
    }
    return render(request, "production/stock/lot.html", context, status=422 if typed else 200)


def _try(request: StaffRequest, code: str, name: str, form: Form, act: Callable[[int], Lot], done: str) -> HttpResponse:
    """Do one action from a form; a refusal becomes an error of that form, with what was typed still there."""
    found = get_object_or_404(Lot, code=code)
    led_on = act_on(
        request,
        form,
        lambda: act(found.pk),
        refusal=StockRefusal,
        done=f"{found.code}: {done}",
        to=found,
    )
    return led_on or _show(request, code, **{name: form})


@require_POST
def lot_release(request: StaffRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Lot, code=code)
    reason = request.POST.get("release-reason", "")[:300]
    return press(
        request,
        lambda: move_lot(lot_id=found.pk, to=LotState.RELEASED, by=request.user, reason=reason),
        refusal=StockRefusal,
        done=f"{found.code} is released: it may be weighed out.",
        to=found,
    )


@require_POST
def lot_hold(request: StaffRequest, code: str) -> HttpResponse:
    form = ReasonForm(request.POST, prefix="hold")
    return _try(request, code, "hold_form", form, _mover(request, form, LotState.HELD), "on hold.")


@require_POST
def lot_reject(request: StaffRequest, code: str) -> HttpResponse:
    form = ReasonForm(request.POST, prefix="reject")
    return _try(request, code, "reject_form", form, _mover(request, form, LotState.REJECTED), "rejected.")


def _mover(request: StaffRequest, form: ReasonForm, to: LotState) -> Callable[[int], Lot]:
    return lambda pk: move_lot(lot_id=pk, to=to, by=request.user, reason=form.cleaned_data["reason"])


@require_POST
def lot_weigh_back(request: StaffRequest, code: str) -> HttpResponse:
    form = WeighBackForm(request.POST, prefix="weigh")
    return _try(
        request,
        code,
        "weigh_form",
        form,
        lambda pk: weigh_back(lot_id=pk, by=request.user, **form.cleaned_data),
        "the book now says what the scale says.",
    )


@require_POST
def lot_take_out(request: StaffRequest, code: str) -> HttpResponse:
    form = TakeOutForm(request.POST, prefix="out")
    return _try(
        request,
        code,
        "out_form",
        form,
        lambda pk: throw_away(
            lot_id=pk,
            grams=form.cleaned_data["grams"],
            reason=form.cleaned_data["reason"],
            is_return=form.cleaned_data["how"] == "return",
            typed_once=form.cleaned_data["typed_once"],
            by=request.user,
        ),
        "written out of the book.",
    )


@require_POST
def lot_use_by(request: StaffRequest, code: str) -> HttpResponse:
    form = UseByForm(request.POST, prefix="use-by")
    return _try(
        request,
        code,
        "use_by_form",
        form,
        lambda pk: set_use_by(lot_id=pk, by=request.user, **form.cleaned_data),
        "the new use-by day stands.",
    )
