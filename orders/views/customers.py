"""The pages of customers."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Count
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from orders.actions import save_customer
from orders.forms.customers import CustomerForm
from orders.models import Customer
from orders.reads import PAGE_SIZE, order_rows
from soapshop.panels import panels_for
from soapshop.requests import StaffRequest


@require_GET
def customer_list(request: StaffRequest) -> HttpResponse:
    customers = Customer.objects.annotate(order_count=Count("orders")).order_by("name", "pk")
    page = Paginator(customers, PAGE_SIZE).get_page(request.GET.get("page"))
    return render(request, "orders/customer_list.html", {"page": page})


@require_GET
def customer(request: StaffRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(Customer.objects.prefetch_related("avoid_materials"), pk=pk)
    orders = shown.orders.for_list().order_by("-needed_by", "-number")
    page = Paginator(orders, PAGE_SIZE).get_page(request.GET.get("page"))
    rows = order_rows(page.object_list, today=timezone.localdate())
    context = {"customer": shown, "page": page, "rows": rows, "panels": panels_for("orders.customer", shown)}
    return render(request, "orders/customer.html", context)


@require_http_methods(["GET", "POST"])
def customer_new(request: StaffRequest) -> HttpResponse:
    return _customer_form(request, Customer(), is_new=True)


@require_http_methods(["GET", "POST"])
def customer_edit(request: StaffRequest, pk: int) -> HttpResponse:
    return _customer_form(request, get_object_or_404(Customer, pk=pk), is_new=False)


def _customer_form(request: StaffRequest, kept: Customer, *, is_new: bool) -> HttpResponse:
    form = CustomerForm(request.POST if request.method == "POST" else None, instance=kept)
    if form.is_valid():
        avoid = form.cleaned_data["avoid_materials"]
        saved = save_customer(customer=form.customer, avoid_materials=avoid, by=request.user, is_new=is_new)
        messages.success(request, f"{saved.name} is in the book.")
        return redirect(saved)
    return render(request, "orders/customer_form.html", {"form": form, "customer": None if is_new else kept})
