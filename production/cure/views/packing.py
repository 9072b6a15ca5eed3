"""The packing table: reserve bars for an order, pack them, hand them over."""

from collections.abc import Callable
from typing import cast

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from orders.actions import OrderRefusal
from orders.models import Order
from production.batches.asked import BatchRefusal
from production.cure.actions.packing import hand_over, pack_order
from production.cure.actions.reserving import allocate_bars, give_back
from production.cure.forms import GiveBackForm, OutOfTurnForm
from production.cure.packing_reads import packing_page
from soapshop.models import User


@require_GET
def packing_list(request: HttpRequest, number: str) -> HttpResponse:
    """What lies where for one order: to pick from the rack, to tick, to print."""
    page = packing_page(number)
    if page is None:
        raise Http404
    context = {"page": page, "order": page.bars.order, "today": timezone.localdate()}
    return render(request, "production/cure/packing.html", context)


@require_POST
def packing_allocate(request: HttpRequest, number: str) -> HttpResponse:
    form = OutOfTurnForm(request.POST)
    words = form.cleaned_data["out_of_turn"] if form.is_valid() else ""
    return _try(
        request,
        number,
        lambda pk: allocate_bars(order_id=pk, today=timezone.localdate(), by=_by(request), out_of_turn=words),
        done="The bars are reserved.",
    )


@require_POST
def packing_give_back(request: HttpRequest, number: str, line: int, batch: int, finish: str) -> HttpResponse:
    form = GiveBackForm(request.POST)
    if not form.is_valid():
        messages.error(request, " ".join(str(error) for errors in form.errors.values() for error in errors))
        return redirect("production:packing", number=number)
    given = form.cleaned_data
    return _try(
        request,
        number,
        lambda pk: give_back(
            order_id=pk,
            line_id=line,
            batch_id=batch,
            finish=finish,
            bars=given["bars"],
            reason=given["reason"],
            by=_by(request),
            typed_once=given["typed_once"],
        ),
        done="The bars are back on the shelf.",
    )


@require_POST
def packing_pack(request: HttpRequest, number: str) -> HttpResponse:
    return _try(
        request,
        number,
        lambda pk: pack_order(order_id=pk, by=_by(request), on=timezone.localdate()),
        done="The order is packed.",
    )


@require_POST
def packing_hand_over(request: HttpRequest, number: str) -> HttpResponse:
    return _try(
        request,
        number,
        lambda pk: hand_over(order_id=pk, by=_by(request), on=timezone.localdate()),
        done="The order is handed over.",
    )


def _by(request: HttpRequest) -> User:
    return cast(User, request.user)


def _try(request: HttpRequest, number: str, act: Callable[[int], object], *, done: str) -> HttpResponse:
    order = get_object_or_404(Order, number=number)
    try:
        act(order.pk)
    except (BatchRefusal, OrderRefusal) as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, done)
    if request.POST.get("back") == "order":
        return redirect(order)
    return redirect("production:packing", number=number)
