"""The price list: one box for each design that is made."""

from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from formulas.models import Design
from orders.models import ListPrice
from orders.money.actions import set_list_price
from orders.money.forms import AmountField
from soapshop.requests import StaffRequest


class PriceListForm(forms.Form):
    """A price a bar for each design; an empty box takes the design off the list."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.designs = {f"design_{design.pk}": design for design in Design.objects.filter(is_shelved=False)}
        listed = {price.design_id: price.price_per_bar for price in ListPrice.objects.all()}
        for name, design in self.designs.items():
            self.fields[name] = AmountField(required=False, label=design.name, initial=listed.get(design.pk))

    @property
    def prices(self) -> list[tuple[Design, Decimal | None]]:
        return [(design, self.cleaned_data[name]) for name, design in self.designs.items()]


@require_http_methods(["GET", "POST"])
def price_list(request: StaffRequest) -> HttpResponse:
    form = PriceListForm(request.POST or None)
    if request.POST and form.is_valid():
        with transaction.atomic():
            for design, price in form.prices:
                set_list_price(design=design, price=price, by=request.user)
        messages.success(request, "The price list is saved. Orders that are in the book keep their prices.")
        return redirect("orders:price-list")
    return render(request, "orders/money/price_list.html", {"form": form})
