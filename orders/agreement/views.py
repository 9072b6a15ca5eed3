"""The agreed sheet of an order: its versions, who approved which, what changed since, and the customer's page."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from orders.actions import OrderRefusal
from orders.agreement.actions import approve_proof, make_proof
from orders.agreement.forms import LinkForm, RepeatForm, ToldForm
from orders.agreement.reads import agreement_page
from orders.agreement.repeat import changed_since, repeat_order
from orders.customer_page.actions import close_link, link_key, open_link
from orders.models import Order
from soapshop.requests import StaffRequest


@require_GET
def agreement(request: StaffRequest, number: str) -> HttpResponse:
    order = get_object_or_404(Order.objects.for_page(), number=number)
    today = timezone.localdate()
    page = agreement_page(order, today=today)
    address = ""
    if page.link is not None:
        address = request.build_absolute_uri(reverse("orders:customer-page", args=[link_key(page.link)]))
    context = {
        "page": page,
        "order": order,
        "today": today,
        "address": address,
        "told_form": ToldForm(initial={"name": order.customer.name}),
        "link_form": LinkForm(),
    }
    return render(request, "orders/agreement/agreement.html", context)


@require_POST
def proof_make(request: StaffRequest, number: str) -> HttpResponse:
    return _try(
        request,
        number,
        lambda order: make_proof(order_id=order.pk, by=request.user, today=timezone.localdate()),
        done="The sheet as it stands is kept as a new version.",
    )


@require_POST
def proof_approve(request: StaffRequest, number: str, version: int) -> HttpResponse:
    """Note an approval that came by word, letter or telephone."""
    form = ToldForm(request.POST)
    name = form.cleaned_data["name"] if form.is_valid() else ""

    def act(order: Order) -> None:
        proof = get_object_or_404(order.proofs, version=version)
        approve_proof(proof_id=proof.pk, name=name, way="told_us", today=timezone.localdate(), by=request.user)

    return _try(request, number, act, done="The approval is noted.")


@require_POST
def link_open(request: StaffRequest, number: str) -> HttpResponse:
    form = LinkForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Choose the last day of the page as a day, such as 2026-09-30.")
        return redirect("orders:agreement", number=number)
    until = form.cleaned_data["expires_on"]
    return _try(
        request,
        number,
        lambda order: open_link(order_id=order.pk, expires_on=until, by=request.user, today=timezone.localdate()),
        done="The customer's page is open. Earlier addresses of this order no longer work.",
    )


@require_POST
def link_close(request: StaffRequest, number: str) -> HttpResponse:
    return _try(
        request,
        number,
        lambda order: close_link(order_id=order.pk, by=request.user),
        done="The customer's page is closed.",
    )


@require_http_methods(["GET", "POST"])
def order_repeat(request: StaffRequest, number: str) -> HttpResponse:
    """Show what has changed since an order, then take the same again."""
    order = get_object_or_404(Order.objects.for_page(), number=number)
    form = RepeatForm(request.POST or None)
    if request.POST and form.is_valid():
        try:
            again = repeat_order(order_id=order.pk, by=request.user, today=timezone.localdate(), **form.cleaned_data)
        except OrderRefusal as refusal:
            form.add_error("needed_by", str(refusal))
        else:
            messages.success(request, f"{again} is in the book: the same lines as {order}.")
            return redirect(again)
    context = {"order": order, "form": form, "changed": changed_since(order)}
    return render(request, "orders/agreement/repeat.html", context)


def _try(request: StaffRequest, number: str, act: Callable[[Order], object], *, done: str) -> HttpResponse:
    order = get_object_or_404(Order, number=number)
    try:
        act(order)
    except OrderRefusal as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, done)
    return redirect("orders:agreement", number=number)
