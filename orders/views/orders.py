"""The pages of orders."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from orders.actions import OrderRefusal, change_terms, move_by_hand, promise_date, take_order
from orders.agreement.actions import accept_order, quote_order
from orders.agreement.reads import agreement_panel
from orders.forms.lines import LineFormSet
from orders.forms.terms import ChangeTermsForm, NewOrderForm, PromiseForm, ReasonForm
from orders.models import Order, OrderLine
from orders.money.actions import close_order
from orders.money.order_pages import money_panel
from orders.money.reads import for_money_panel
from orders.order_states import OrderState
from orders.pictures import line_pictures
from orders.reads import PAGE_SIZE, SHOWN, happenings, order_counts, order_page, order_rows, shown_orders
from soapshop.acting import act_on
from soapshop.models import User
from soapshop.panels import panels_for
from soapshop.requests import StaffRequest


@require_GET
def order_list(request: StaffRequest) -> HttpResponse:
    which = request.GET.get("show", "")
    which = which if which in SHOWN else "open"
    today = timezone.localdate()
    counts = order_counts(today=today)
    pages = Paginator(shown_orders(which), PAGE_SIZE)
    if which == "open":
        pages.count = counts.open
    page = pages.get_page(request.GET.get("page"))
    context = {
        "page": page,
        "rows": order_rows(page.object_list, today=today),
        "counts": counts,
        "today": today,
        "which": which,
        "lists": SHOWN,
    }
    return render(request, "orders/order_list.html", context)


@require_http_methods(["GET", "POST"])
def order_new(request: StaffRequest) -> HttpResponse:
    typed = request.POST if request.method == "POST" else None
    form = NewOrderForm(typed, today=timezone.localdate(), workshop=request.workshop)
    lines = LineFormSet(typed, prefix="lines")
    if typed is not None and all([form.is_valid(), lines.is_valid()]):
        try:
            order = take_order(
                customer=form.chosen_customer,
                terms=form.terms,
                lines=[wish for line in lines if (wish := line.wish) is not None],
                by=request.user,
                typed_once=form.cleaned_data["typed_once"],
            )
        except OrderRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"{order} is in the book. Set parts and prices on its lines.")
            return redirect(order)
    return render(request, "orders/order_form.html", {"form": form, "lines": lines})


@require_GET
def order(request: StaffRequest, number: str) -> HttpResponse:
    return show_order(request, number)


def show_order(request: StaffRequest, number: str, **typed: Form) -> HttpResponse:
    """Show the order, with forms that a person has filled in put back as they were."""
    shown = get_object_or_404(for_money_panel(Order.objects.for_promise()), number=number)
    context = {
        "page": order_page(shown, workshop=request.workshop),
        "order": shown,
        "today": timezone.localdate(),
        "cancel_form": ReasonForm(prefix="cancel"),
        "promise_form": PromiseForm(initial={"day": shown.promised_date or shown.needed_by}),
        "agreed": agreement_panel(shown),
        "money": money_panel(shown, workshop=request.workshop),
        **typed,
    }
    return render(request, "orders/order.html", context)


@require_GET
def order_making(request: StaffRequest, number: str) -> HttpResponse:
    """What the workshop does for an order, and what happened to it. The order's page fetches it after itself."""
    shown = get_object_or_404(Order.objects.for_page(), number=number)
    context = {"order": shown, "panels": panels_for("orders.making", shown), "events": happenings(shown)}
    return render(request, "orders/components/making.html" if request.htmx else "orders/making.html", context)


@require_http_methods(["GET", "POST"])
def order_edit(request: StaffRequest, number: str) -> HttpResponse:
    shown = get_object_or_404(Order.objects.select_related("customer"), number=number)
    form = ChangeTermsForm(
        request.POST if request.method == "POST" else None,
        instance=shown,
        initial={"seen_saves": shown.saves},
        today=timezone.localdate(),
        workshop=request.workshop,
    )
    if form.is_valid():
        seen = form.cleaned_data["seen_saves"]
        try:
            changed = change_terms(
                order_id=shown.pk, terms=form.terms, by=request.user, seen_saves=-1 if seen is None else seen
            )
        except OrderRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"{changed} is changed.")
            return redirect(changed)
    return render(request, "orders/order_terms.html", {"form": form, "order": shown})


@require_POST
def order_move(request: StaffRequest, number: str) -> HttpResponse:
    """Quote, accept or close an order. Stages that rest on bars are not set here."""
    shown = get_object_or_404(Order, number=number)
    wanted = request.POST.get("to", "")
    try:
        if wanted not in {state.value for state in OrderState} or wanted == OrderState.CANCELLED:
            raise OrderRefusal("That is no step to take here. Use the buttons on this page.")
        moved = _moved(shown, OrderState(wanted), by=request.user)
    except OrderRefusal as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, f"{moved} is now {moved.state.label.lower()}.")
    return redirect(shown)


def _moved(order: Order, to: OrderState, *, by: User) -> Order:
    """A quote is good for so many days; accepting fixes the days money is due; closing wants them settled."""
    today = timezone.localdate()
    if to == OrderState.QUOTED:
        return quote_order(order_id=order.pk, by=by, today=today)
    if to == OrderState.ACCEPTED:
        return accept_order(order_id=order.pk, by=by, today=today)
    if to == OrderState.CLOSED:
        return close_order(order_id=order.pk, by=by, today=today)
    return move_by_hand(order_id=order.pk, to=to, by=by)


@require_POST
def order_cancel(request: StaffRequest, number: str) -> HttpResponse:
    """Call off an order that nothing has been made for yet."""
    shown = get_object_or_404(Order, number=number)
    form = ReasonForm(request.POST, prefix="cancel")
    led_on = act_on(
        request,
        form,
        lambda: move_by_hand(
            order_id=shown.pk, to=OrderState.CANCELLED, by=request.user, reason=form.cleaned_data["reason"]
        ),
        refusal=OrderRefusal,
        done=f"{shown} is cancelled.",
        to=shown,
    )
    return led_on or show_order(request, number, cancel_form=form)


@require_POST
def order_promise(request: StaffRequest, number: str) -> HttpResponse:
    shown = get_object_or_404(Order, number=number)
    form = PromiseForm(request.POST)
    if form.is_valid():
        try:
            promise_date(order_id=shown.pk, day=form.cleaned_data["day"], by=request.user)
        except OrderRefusal as refusal:
            form.add_error("day", str(refusal))
        else:
            messages.success(request, "The promise is noted.")
            return redirect(shown)
    return show_order(request, number, promise_form=form)


@require_GET
def line_picture(request: StaffRequest, number: str, pk: int) -> HttpResponse:
    """The bar of a line as an image of its own: the order's page need not wait for the drawing."""
    line = get_object_or_404(OrderLine.objects.select_related("design__mold"), pk=pk, order__number=number)
    return HttpResponse(str(line_pictures([line])[line.pk]), content_type="image/svg+xml")
