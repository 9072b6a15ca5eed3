"""The shelf as a whole: what is there, what runs short, all lots, and the suppliers."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Count
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from formulas.models import Material
from production.stock.actions import StockRefusal, change_supplier, save_supplier
from production.stock.forms import SupplierForm
from production.stock.lot_reads import SHOWN, lot_rows, shown_lots
from production.stock.models import Supplier
from production.stock.reads import ShelfFilter, stores_page
from soapshop.requests import StaffRequest

PAGE_SIZE = 18
ONLY = {"short": "Only what runs short", "out_of_date": "Only with lots out of date"}


@require_GET
def stores(request: StaffRequest) -> HttpResponse:
    today = timezone.localdate()
    kind, only = request.GET.get("kind", ""), request.GET.get("only", "")
    shown = ShelfFilter(kind if kind in Material.Kind.values else "", only if only in ONLY else "")
    stock = stores_page(shown, today=today)
    page = Paginator(stock.materials, PAGE_SIZE).get_page(request.GET.get("page"))
    context = {
        "stock": stock,
        "page": page,
        "shown": shown,
        "kinds": Material.Kind.choices,
        "only": ONLY.items(),
        "today": today,
    }
    return render(request, "production/stock/stores.html", context)


@require_GET
def lot_list(request: StaffRequest) -> HttpResponse:
    today = timezone.localdate()
    which = request.GET.get("show", "shelf")
    words = request.GET.get("words", "").replace("\0", "").strip()[:60]
    material = _material(request.GET.get("material", ""))
    lots = shown_lots(which, material_id=material.pk if material else None, words=words, today=today)
    page = Paginator(lots, PAGE_SIZE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "rows": lot_rows(page.object_list, today=today),
        "which": which if which in SHOWN else "shelf",
        "choices": SHOWN.items(),
        "words": words,
        "material": material,
        "today": today,
    }
    return render(request, "production/stock/lot_list.html", context)


def _material(typed: str) -> Material | None:
    is_number = typed.isascii() and typed.isdecimal() and len(typed) < 12
    return Material.objects.filter(pk=int(typed)).first() if is_number else None


@require_http_methods(["GET", "POST"])
def supplier_list(request: StaffRequest) -> HttpResponse:
    form = SupplierForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        made = save_supplier(by=request.user, **form.cleaned_data)
        messages.success(request, f"{made.name} is on the list.")
        return redirect("production:supplier-list")
    suppliers = Supplier.objects.annotate(lot_count=Count("lots")).order_by("name")
    page = Paginator(suppliers, PAGE_SIZE).get_page(request.GET.get("page"))
    context = {"page": page, "form": form}
    return render(request, "production/stock/supplier_list.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
def supplier(request: StaffRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Supplier, pk=pk)
    form = SupplierForm(request.POST if request.method == "POST" else None, instance=found)
    if form.is_valid():
        try:
            change_supplier(supplier_id=pk, by=request.user, **form.cleaned_data)
        except StockRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "The supplier is saved.")
            return redirect("production:supplier-list")
    lots = found.lots.select_related("material").order_by("-received_on", "-pk")[:PAGE_SIZE]
    context = {
        "supplier": Supplier.objects.get(pk=pk),
        "form": form,
        "rows": lot_rows(lots, today=timezone.localdate()),
    }
    return render(request, "production/stock/supplier.html", context, status=422 if form.errors else 200)
