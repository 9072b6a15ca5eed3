"""The packing table: reserve bars for an order, pick and pack them, hand parcels over, take bars back."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_GET, require_POST

from orders.actions import OrderRefusal
from orders.models import Order
from production.batches.asked import BatchRefusal
from production.cure.actions.judging import return_bars
from production.cure.actions.packing import hand_over, pack_order
from production.cure.actions.reserving import allocate_bars, give_back
from production.cure.actions.swapping import swap_bars
from production.cure.models import Parcel
from production.cure.packing_forms import (
    GiveBackForm,
    HandOverForm,
    OutOfTurnForm,
    PickForm,
    ReturnForm,
    SwapForm,
)
from production.cure.packing_reads import PackingPage, packing_page
from production.cure.slips import slip_of
from production.documents.packing_slip import packing_slip_pdf
from soapshop.paper import PaperRefused, PaperUnavailable
from soapshop.paper_press import print_beside
from soapshop.requests import StaffRequest


@require_GET
def packing_list(request: StaffRequest, number: str) -> HttpResponse:
    """What lies where for one order: to pick from the rack, to tick, to print."""
    return _show(request, _page(number))


@require_POST
def packing_allocate(request: StaffRequest, number: str) -> HttpResponse:
    form = OutOfTurnForm(request.POST)
    words = form.cleaned_data["out_of_turn"] if form.is_valid() else ""
    return _try(
        request,
        number,
        {"out_of_turn_form": form},
        lambda pk: allocate_bars(order_id=pk, today=timezone.localdate(), by=request.user, out_of_turn=words),
        done="The bars are reserved.",
    )


@require_POST
def packing_give_back(request: StaffRequest, number: str, line: int, batch: int, finish: str) -> HttpResponse:
    form = GiveBackForm(request.POST)
    return _try(
        request,
        number,
        {"give_back_form": form},
        lambda pk: give_back(
            order_id=pk,
            line_id=line,
            batch_id=batch,
            finish=finish,
            bars=form.cleaned_data["bars"],
            reason=form.cleaned_data["reason"],
            then=form.then_state,
            by=request.user,
            typed_once=form.cleaned_data["typed_once"],
        ),
        done="The bars are given back.",
        opened=f"{line}|{batch}|{finish}",
    )


@require_POST
def packing_pack(request: StaffRequest, number: str) -> HttpResponse:
    """Pack what is ticked; the one button of the order's page packs everything that is reserved."""
    if "picks" not in request.POST:
        return _try(
            request,
            number,
            {},
            lambda pk: pack_order(order_id=pk, by=request.user, on=timezone.localdate()),
            done="The order is packed.",
        )
    page = _page(number)
    form = PickForm(request.POST, bars=page.bars)
    if request.POST.get("do") == "code":
        return _tick_by_code(request, page, form)
    return _try(
        request,
        number,
        {"pick_form": form},
        lambda pk: pack_order(
            order_id=pk,
            by=request.user,
            on=timezone.localdate(),
            picked=form.picked,
            is_part=form.cleaned_data["is_part"],
            note=form.cleaned_data["note"],
            typed_once=form.cleaned_data["typed_once"],
        ),
        done="The parcel is packed. Print its slip below.",
    )


def _tick_by_code(request: StaffRequest, page: PackingPage, form: PickForm) -> HttpResponse:
    typed, ticked, wrong = form.ticked_by_code()
    again = PickForm(typed, bars=page.bars)
    again.is_valid()
    again.errors.clear()
    if wrong:
        again.add_error("code", wrong)
    return _show(request, page, status=422 if wrong else 200, pick_form=again, ticked=ticked)


@require_POST
def packing_hand_over(request: StaffRequest, number: str) -> HttpResponse:
    form = HandOverForm(request.POST)
    return _try(
        request,
        number,
        {"hand_over_form": form},
        lambda pk: hand_over(
            order_id=pk,
            by=request.user,
            on=timezone.localdate(),
            parcel_id=form.cleaned_data["parcel"],
            unpaid_reason=form.cleaned_data["unpaid_reason"],
        ),
        done="Handed over.",
    )


@require_POST
def packing_return(request: StaffRequest, number: str) -> HttpResponse:
    form = ReturnForm(request.POST, lots=_page(number).shipped_lots, prefix="return")

    def act(pk: int) -> object:
        line, batch, finish = form.key
        return return_bars(
            order_id=pk,
            line_id=line,
            batch_id=batch,
            finish=finish,
            bars=form.cleaned_data["bars"],
            reason=form.cleaned_data["reason"],
            on=timezone.localdate(),
            by=request.user,
            typed_once=form.cleaned_data["typed_once"],
        )

    return _try(request, number, {"return_form": form}, act, done="They are back, and wait to be judged on the rack.")


@require_POST
def packing_swap(request: StaffRequest, number: str) -> HttpResponse:
    page = _page(number)
    form = SwapForm(request.POST, lots=page.reserved_lots, others=page.others, prefix="swap")

    def act(_: int) -> object:
        line, batch, finish = form.key
        return swap_bars(
            line_id=line,
            batch_id=batch,
            finish=finish,
            bars=form.cleaned_data["bars"],
            other_line_id=int(form.cleaned_data["other"]),
            reason=form.cleaned_data["reason"],
            by=request.user,
        )

    return _try(request, number, {"swap_form": form}, act, done="The bars are swapped.")


@require_GET
def packing_slip(request: StaffRequest, number: str, position: int) -> HttpResponse:
    parcel = get_object_or_404(
        Parcel.objects.select_related("packed_by", "order"), order__number=number, position=position
    )
    try:
        pdf = print_beside(packing_slip_pdf, slip_of(parcel))
    except (PaperRefused, PaperUnavailable) as refusal:
        messages.error(request, str(refusal))
        return redirect("production:packing", number=number)
    response = HttpResponse(pdf, content_type="application/pdf")
    name = slugify(f"packing-slip-{number}-{position}")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response


def _page(number: str) -> PackingPage:
    page = packing_page(number)
    if page is None:
        raise Http404
    return page


def _try(
    request: StaffRequest,
    number: str,
    forms: dict[str, Form],
    act: Callable[[int], object],
    *,
    done: str,
    opened: str = "",
) -> HttpResponse:
    """Do it and lead back, or show the refusal in the form with everything that was typed."""
    order = get_object_or_404(Order, number=number)
    form = next(iter(forms.values()), None)
    if form is not None and not form.is_valid():
        return _show(request, _page(number), status=422, opened=opened, **forms)
    try:
        act(order.pk)
    except (BatchRefusal, OrderRefusal) as refusal:
        if form is not None and request.POST.get("back") != "order":
            form.add_error(None, str(refusal))
            return _show(request, _page(number), status=422, opened=opened, **forms)
        messages.error(request, str(refusal))
    else:
        messages.success(request, done)
    if request.POST.get("back") == "order":
        return redirect(order)
    return redirect("production:packing", number=number)


def _show(request: StaffRequest, page: PackingPage, *, status: int = 200, **typed: Any) -> HttpResponse:
    forms: dict[str, Any] = {
        "pick_form": PickForm(bars=page.bars),
        "out_of_turn_form": OutOfTurnForm(),
        "give_back_form": GiveBackForm(),
        "empty_give_back_form": GiveBackForm(),
        "hand_over_form": HandOverForm(),
        "return_form": ReturnForm(lots=page.shipped_lots, prefix="return"),
        "swap_form": SwapForm(lots=page.reserved_lots, others=page.others, prefix="swap"),
        **typed,
    }
    context = {"page": page, "order": page.bars.order, "today": timezone.localdate(), "typed": set(typed), **forms}
    return render(request, "production/cure/packing.html", context, status=status)
