"""The pages of orders and customers."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from formulas.models import Design
from orders.actions import (
    LineWish,
    OrderRefusal,
    add_line,
    change_line,
    change_terms,
    create_order,
    move_order,
    promise_date,
    remove_line,
    save_customer,
)
from orders.forms import CustomerForm, LineFormSet, NewOrderForm, OneLineForm, PromiseForm, ReasonForm, TermsForm
from orders.models import Customer, Order, OrderLine
from orders.order_states import OrderState
from orders.reads import SHOWN, order_page, order_rows, shown_orders
from soapshop.models import Workshop
from soapshop.panels import panels_for

PAGE_SIZE = 100


@require_GET
def order_list(request: HttpRequest) -> HttpResponse:
    which = request.GET.get("show", "open")
    today = timezone.localdate()
    page = Paginator(shown_orders(which), PAGE_SIZE).get_page(request.GET.get("page"))
    rows = order_rows(page.object_list, today=today)
    context = {"page": page, "rows": rows, "today": today, "which": which if which in SHOWN else "open"}
    return render(request, "orders/order_list.html", context)


@require_http_methods(["GET", "POST"])
def order_new(request: HttpRequest) -> HttpResponse:
    typed = request.POST or None
    today, workshop = timezone.localdate(), Workshop.current()
    form = NewOrderForm(typed, today=today, workshop=workshop)
    lines = LineFormSet(typed, prefix="lines")
    if typed and all([form.is_valid(), lines.is_valid()]):
        try:
            order = _take_order(request, form, [wish for line in lines if (wish := line.wish) is not None])
        except OrderRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"{order} is in the book. Set parts and prices on its lines.")
            return redirect(order)
    return render(request, "orders/order_form.html", {"form": form, "lines": lines})


@transaction.atomic
def _take_order(request: HttpRequest, form: NewOrderForm, wishes: list[LineWish]) -> Order:
    given = form.cleaned_data
    customer = given["customer"]
    if customer is None:
        new = Customer(name=given["new_customer"].strip(), email=given["new_email"])
        customer = save_customer(customer=new, avoid_materials=(), by=request.user, is_new=True)
    return create_order(
        customer=customer, terms=form.terms, lines=wishes, by=request.user, typed_once=given["typed_once"]
    )


@require_GET
def order(request: HttpRequest, number: str) -> HttpResponse:
    shown = get_object_or_404(Order.objects.for_page(), number=number)
    return _order_page(request, shown)


def _order_page(request: HttpRequest, shown: Order, **forms: object) -> HttpResponse:
    context = {
        "page": order_page(shown),
        "order": shown,
        "today": timezone.localdate(),
        "cancel_form": ReasonForm(),
        "promise_form": PromiseForm(initial={"day": shown.promised_date or shown.needed_by}),
        "designs": Design.objects.filter(is_shelved=False),
        "panels": panels_for("orders.order", shown),
        **forms,
    }
    return render(request, "orders/order.html", context)


@require_http_methods(["GET", "POST"])
def order_edit(request: HttpRequest, number: str) -> HttpResponse:
    shown = get_object_or_404(Order.objects.for_page(), number=number)
    form = TermsForm(request.POST or None, instance=shown, today=timezone.localdate(), workshop=Workshop.current())
    if request.POST and form.is_valid():
        try:
            changed = change_terms(order_id=shown.pk, terms=form.terms, by=request.user)
        except OrderRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"{changed} is changed.")
            return redirect(changed)
    return render(request, "orders/order_terms.html", {"form": form, "order": shown})


@require_POST
def order_move(request: HttpRequest, number: str) -> HttpResponse:
    shown = get_object_or_404(Order, number=number)
    wanted = request.POST.get("to", "")
    try:
        if wanted not in {state.value for state in OrderState}:
            raise OrderRefusal("That is no stage of an order. Use the buttons on this page.")
        moved = move_order(
            order_id=shown.pk, to=OrderState(wanted), by=request.user, reason=request.POST.get("reason", "")[:300]
        )
    except OrderRefusal as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, f"{moved} is now {moved.state.label.lower()}.")
    return redirect(shown)


@require_POST
def order_promise(request: HttpRequest, number: str) -> HttpResponse:
    shown = get_object_or_404(Order.objects.for_page(), number=number)
    form = PromiseForm(request.POST)
    if form.is_valid():
        try:
            promise_date(order_id=shown.pk, day=form.cleaned_data["day"], by=request.user)
        except OrderRefusal as refusal:
            form.add_error("day", str(refusal))
        else:
            return redirect(shown)
    return _order_page(request, shown, promise_form=form)


@require_http_methods(["GET", "POST"])
def line_add(request: HttpRequest, number: str, design: int) -> HttpResponse:
    shown = get_object_or_404(Order.objects.for_page(), number=number)
    chosen = get_object_or_404(Design.objects.for_page(), pk=design)
    form = OneLineForm(request.POST or None, design=chosen)
    if form.is_valid():
        try:
            add_line(order_id=shown.pk, wish=form.wish, by=request.user)
        except OrderRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            return redirect(shown)
    return render(request, "orders/line_form.html", {"form": form, "order": shown, "design": chosen})


@require_GET
def line_choose(request: HttpRequest, number: str) -> HttpResponse:
    """Lead from the small "add a line" box to the line's form."""
    shown = get_object_or_404(Order, number=number)
    design = request.GET.get("design", "")
    if not design.isdecimal() or len(design) > 9:
        messages.error(request, "Choose a design for the new line.")
        return redirect(shown)
    return redirect("orders:line-add", number=number, design=int(design))


@require_http_methods(["GET", "POST"])
def line_edit(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    line = get_object_or_404(
        OrderLine.objects.select_related("order__customer", "design").prefetch_related(
            "finishes__part", "design__parts__part"
        ),
        pk=pk,
        order__number=number,
    )
    form = OneLineForm(request.POST or None, design=line.design, line=line)
    if form.is_valid():
        try:
            change_line(line_id=line.pk, wish=form.wish, by=request.user)
        except OrderRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"The line {line.design} is changed.")
            return redirect(line.order)
    context = {"form": form, "order": line.order, "design": line.design, "line": line}
    return render(request, "orders/line_form.html", context)


@require_POST
def line_remove(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    line = get_object_or_404(OrderLine.objects.select_related("order"), pk=pk, order__number=number)
    try:
        remove_line(line_id=line.pk, by=request.user)
    except OrderRefusal as refusal:
        messages.error(request, str(refusal))
    return redirect(line.order)


@require_GET
def customer_list(request: HttpRequest) -> HttpResponse:
    page = Paginator(Customer.objects.prefetch_related("orders"), PAGE_SIZE).get_page(request.GET.get("page"))
    return render(request, "orders/customer_list.html", {"page": page})


@require_http_methods(["GET", "POST"])
def customer_new(request: HttpRequest) -> HttpResponse:
    return _customer_form(request, Customer(), is_new=True)


@require_http_methods(["GET", "POST"])
def customer_edit(request: HttpRequest, pk: int) -> HttpResponse:
    return _customer_form(request, get_object_or_404(Customer, pk=pk), is_new=False)


def _customer_form(request: HttpRequest, customer: Customer, *, is_new: bool) -> HttpResponse:
    form = CustomerForm(request.POST or None, instance=customer)
    if form.is_valid():
        saved = save_customer(
            customer=form.instance,
            avoid_materials=form.cleaned_data["avoid_materials"],
            by=request.user,
            is_new=is_new,
        )
        messages.success(request, f"{saved.name} is in the book.")
        return redirect(saved)
    return render(request, "orders/customer_form.html", {"form": form, "customer": None if is_new else customer})


@require_GET
def customer(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(Customer.objects.prefetch_related("avoid_materials"), pk=pk)
    orders = order_rows(shown.orders.for_list().order_by("-needed_by"), today=timezone.localdate())
    context = {"customer": shown, "rows": orders, "panels": panels_for("orders.customer", shown)}
    return render(request, "orders/customer.html", context)
