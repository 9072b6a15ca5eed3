"""Share one freight bill over the lots that came with it, by the shop's one rule."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from orders.models import HouseTerms
from orders.money.cost import CostRefused, Delivered, FreightRule, share_freight
from orders.money.forms import AmountField
from production.stock.models import Lot
from soapshop.audit import note_event
from soapshop.models import User, Workshop
from soapshop.requests import StaffRequest

NEWEST_LOTS = 40


@transaction.atomic
def share_freight_bill(*, lot_ids: Sequence[int], freight: Decimal, by: User) -> list[Lot]:
    """Write each lot's part of the bill; the parts add up to it, and what stood there before is kept in the trail."""
    lots = list(Lot.objects.select_for_update().filter(pk__in=lot_ids).order_by("pk"))
    goods = [Delivered(lot.code, lot.price or Decimal(0), lot.received_grams) for lot in lots]
    rule, currency = FreightRule(HouseTerms.current().freight_rule), Workshop.current().currency
    for lot, part in zip(lots, share_freight(freight, goods, rule=rule, currency=currency), strict=True):
        before, lot.freight = lot.freight, part
        lot.save(update_fields=["freight"])
        text = f"{lot.code}: freight {part} of a bill of {freight}, by {rule.value}."
        note_event(by=by, verb="share_freight", subject=lot, text=text, before={"freight": before})
    return lots


class FreightForm(forms.Form):
    freight = AmountField(min_value=Decimal("0.01"), label="Freight on the bill")
    lots = forms.ModelMultipleChoiceField(
        Lot.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        label="Came with it",
        error_messages={
            "required": "Tick the lots that came with this bill.",
            "invalid_choice": "Choose from the list.",
        },
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        newest = Lot.objects.order_by("-received_on", "-pk").values_list("pk", flat=True)[:NEWEST_LOTS]
        lots = Lot.objects.filter(pk__in=list(newest)).select_related("material").order_by("-received_on", "-pk")
        box: Any = self.fields["lots"]
        box.queryset = lots
        box.label_from_instance = lambda lot: (
            f"{lot.code}, {lot.material.name}, {lot.received_on:%b} {lot.received_on.day}"
        )


@require_http_methods(["GET", "POST"])
def freight_share(request: StaffRequest) -> HttpResponse:
    form = FreightForm(request.POST or None)
    if request.POST and form.is_valid():
        given = form.cleaned_data
        try:
            lots = share_freight_bill(
                lot_ids=[lot.pk for lot in given["lots"]], freight=given["freight"], by=request.user
            )
        except CostRefused as refusal:
            form.add_error("lots", str(refusal))
        else:
            messages.success(request, f"The freight is shared over {len(lots)} lots.")
            return redirect("production:freight-share")
    context = {"form": form, "terms": HouseTerms.current()}
    return render(request, "production/costing/freight.html", context)
