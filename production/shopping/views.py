"""What to buy, and what suppliers sell."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from formulas.models import Material
from production.shopping.actions import remove_offer, save_offer
from production.shopping.forms import OfferForm
from production.shopping.models import Offer
from production.shopping.reads import shopping_list
from production.stock.actions import StockRefusal
from production.stock.models import Supplier
from soapshop.requests import StaffRequest


@require_GET
def shopping(request: StaffRequest) -> HttpResponse:
    today = timezone.localdate()
    context = {"list": shopping_list(today=today), "today": today}
    return render(request, "production/shopping/shopping.html", context)


@require_http_methods(["GET", "POST"])
def offers(request: StaffRequest, pk: int) -> HttpResponse:
    supplier = get_object_or_404(Supplier, pk=pk)
    form = OfferForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            save_offer(supplier_id=pk, by=request.user, **form.cleaned_data)
        except StockRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "The pack is on the list.")
            return redirect("production:offers", pk=pk)
    context = {
        "supplier": supplier,
        "offers": supplier.offers.select_related("material"),
        "form": form,
        "materials": Material.objects.in_use().order_by("name").values_list("name", flat=True),
    }
    return render(request, "production/shopping/offers.html", context, status=422 if form.errors else 200)


@require_POST
def offer_remove(request: StaffRequest, pk: int, offer_pk: int) -> HttpResponse:
    offer = get_object_or_404(Offer, pk=offer_pk, supplier_id=pk)
    remove_offer(offer_id=offer.pk, by=request.user)
    messages.success(request, "The pack is off the list.")
    return redirect("production:offers", pk=pk)
