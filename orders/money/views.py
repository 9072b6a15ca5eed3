"""The pages of money: the month, one order's account, how the shop charges."""

from datetime import date

from django.contrib import messages
from django.core.paginator import Paginator
from django.forms import BaseForm
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from orders.actions import OrderRefusal
from orders.models import HouseTerms, Order, Payment, TaxRate
from orders.money.actions import (
    change_house_terms,
    record_payment,
    save_tax_rate,
    set_charges,
    settle_cancellation,
)
from orders.money.forms import ChargesForm, HouseTermsForm, PaymentForm, TaxRateForm
from orders.money.order_pages import order_money
from orders.money.payments import PaymentRefused
from orders.money.reads import PAGE_SIZE, money_page, open_rates
from soapshop.acting import act_on
from soapshop.panels import panels_for
from soapshop.requests import StaffRequest, owner_only


@require_GET
def money(request: StaffRequest) -> HttpResponse:
    today = timezone.localdate()
    shown = money_page(month=_month(request.GET.get("month", ""), today), today=today)
    owed = Paginator(shown.owed, PAGE_SIZE).get_page(request.GET.get("page"))
    context = {
        "shown": shown,
        "page": owed,
        "overdue": shown.overdue[:PAGE_SIZE],
        "today": today,
        "panels": panels_for("orders.money", (shown.first, shown.last)),
    }
    return render(request, "orders/money/money.html", context)


def _month(typed: str, today: date) -> date:
    try:
        month = date.fromisoformat(f"{typed}-01")
    except ValueError:
        return today
    return month if 2000 <= month.year <= 2200 else today


@require_GET
def order_account(request: StaffRequest, number: str) -> HttpResponse:
    return show_account(request, number)


def show_account(request: StaffRequest, number: str, **typed: BaseForm) -> HttpResponse:
    """Show an order's money, with a form that was refused put back as it was."""
    shown = get_object_or_404(Order, number=number)
    today = timezone.localdate()
    page = order_money(shown, today=today)
    forms = {
        "payment_form": PaymentForm(initial={"on": today, "amount": page.suggested_payment}),
        "charges_form": ChargesForm(instance=page.account.charges, rates=open_rates()),
        **typed,
    }
    return render(
        request, "orders/money/order_money.html", {"page": page, "order": page.order, "today": today, **forms}
    )


@require_POST
def payment_add(request: StaffRequest, number: str) -> HttpResponse:
    order = get_object_or_404(Order, number=number)
    form = PaymentForm(request.POST)
    if form.is_valid():
        try:
            payment = record_payment(
                order_id=order.pk, by=request.user, today=timezone.localdate(), **form.cleaned_data
            )
        except PaymentRefused as refusal:
            form.add_error("amount", str(refusal))
        else:
            words = "came in" if payment.kind == Payment.Kind.PAYMENT else "was paid back"
            messages.success(request, f"Written down: the money {words} for {order}.")
            return redirect("orders:order-money", number=number)
    return show_account(request, number, payment_form=form)


@require_POST
def charges_edit(request: StaffRequest, number: str) -> HttpResponse:
    order = get_object_or_404(Order.objects.select_related("charges"), number=number)
    kept = getattr(order, "charges", None)
    form = ChargesForm(request.POST, instance=kept, rates=open_rates())
    led_on = act_on(
        request,
        form,
        lambda: set_charges(order_id=order.pk, wanted=form.wanted, by=request.user, today=timezone.localdate()),
        refusal=OrderRefusal,
        done=f"The charges of {order} are changed.",
        to=reverse("orders:order-money", kwargs={"number": number}),
    )
    return led_on or show_account(request, number, charges_form=form)


@require_POST
def cancellation_settle(request: StaffRequest, number: str) -> HttpResponse:
    order = get_object_or_404(Order, number=number)
    try:
        settle_cancellation(order_id=order.pk, by=request.user, today=timezone.localdate())
    except OrderRefusal as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, "The cancellation is settled. Write down what is paid back when it moves.")
    return redirect("orders:order-money", number=number)


@require_http_methods(["GET", "POST"])
@owner_only
def house_terms(request: StaffRequest) -> HttpResponse:
    form = HouseTermsForm(request.POST or None, instance=HouseTerms.current())
    if request.POST and form.is_valid():
        change_house_terms(wanted=form.cleaned_data, by=request.user)
        messages.success(request, "How the shop charges is changed. Orders with charges of their own keep theirs.")
        return redirect("orders:house-terms")
    context = {"form": form, "rates": TaxRate.objects.all(), "panels": panels_for("orders.house-terms", None)}
    return render(request, "orders/money/house_terms.html", context)


@require_http_methods(["GET", "POST"])
@owner_only
def tax_rate(request: StaffRequest, pk: int | None = None) -> HttpResponse:
    rate = get_object_or_404(TaxRate, pk=pk) if pk else TaxRate()
    form = TaxRateForm(request.POST or None, instance=rate)
    if request.POST and form.is_valid():
        save_tax_rate(rate=form.instance, by=request.user)
        messages.success(request, f"The rate {form.instance} is in the table.")
        return redirect("orders:house-terms")
    return render(request, "orders/money/tax_rate.html", {"form": form, "rate": rate if pk else None})
