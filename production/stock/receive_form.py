"""What is typed when a delivery comes."""

from datetime import date
from typing import Any
from uuid import uuid4

from django import forms

from formulas.models import Material
from orders.models import Order
from orders.order_states import OrderState
from production.stock.forms import AmountField, DayField, certificate_field, money_field


class ReceiveForm(forms.Form):
    """One delivery of one material."""

    material = forms.CharField(
        max_length=120,
        widget=forms.TextInput(attrs={"list": "materials", "autocomplete": "off"}),
        error_messages={"required": "What came? Type the material's name."},
    )
    grams = AmountField(
        label="How much",
        help_text="With its unit: 25 kg, 50 lb, 750 g.",
        error_messages={"required": "How much came? Type it with its unit, such as 25 kg."},
    )
    supplier = forms.CharField(
        max_length=120, required=False, widget=forms.TextInput(attrs={"list": "suppliers", "autocomplete": "off"})
    )
    supplier_lot = forms.CharField(
        max_length=60,
        required=False,
        label="Supplier's lot",
        help_text="As it stands on the pack. Left empty, the book says “none given”.",
    )
    received_on = DayField(label="Received on")
    expires_on = DayField(label="Use by", required=False, help_text="From the pack or the certificate.")
    belongs_to = forms.CharField(
        max_length=20,
        required=False,
        label="Brought by the customer, for order",
        help_text="The number of the order. Nothing else may be made from it, and it costs the workshop nothing.",
        widget=forms.TextInput(attrs={"class": "narrow", "autocomplete": "off"}),
    )
    is_damaged = forms.BooleanField(
        required=False, label="The pack is damaged or open", help_text="The lot starts on hold."
    )
    price = money_field("Price of the goods")
    freight = money_field("Freight for them")
    sap_certificate = certificate_field("SAP on the certificate", "mg KOH/g", max_digits=8, decimal_places=3)
    purity_percent = certificate_field("Purity on the certificate", "%", max_digits=7, decimal_places=4)
    color_certification = forms.CharField(max_length=60, required=False, label="Color certification lot")
    typed_once = forms.UUIDField(widget=forms.HiddenInput, required=False)

    first_fields = (
        "material",
        "grams",
        "supplier",
        "supplier_lot",
        "received_on",
        "expires_on",
        "belongs_to",
        "is_damaged",
    )
    paper_fields = ("price", "freight", "sap_certificate", "purity_percent", "color_certification")

    def __init__(self, *args: Any, today: date, currency: str, **kwargs: Any) -> None:
        kwargs["initial"] = {"received_on": today, "typed_once": uuid4(), **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)
        self.today = today
        for name in ("price", "freight"):
            self.fields[name].widget.attrs["data-unit"] = currency

    @property
    def opens_papers(self) -> bool:
        """Open the second block when something in it is filled in or faulty."""
        return any(self[name].value() or name in self.errors for name in self.paper_fields)

    def clean_material(self) -> Material:
        typed = " ".join(self.cleaned_data["material"].split())
        material = Material.objects.filter(name__iexact=typed).first()
        if material is None:
            near = Material.objects.in_use().filter(name__icontains=typed.split()[0]).order_by("name")[:3]
            names = ", ".join(found.name for found in near)
            mend = f"Did you mean {names}?" if names else "Choose one from the list, or add it under Materials first."
            raise forms.ValidationError(f"“{typed}” is not among your materials. {mend}")
        return material

    def clean_belongs_to(self) -> Order | None:
        number = self.cleaned_data["belongs_to"].strip().lstrip("#")
        if not number:
            return None
        order = Order.objects.filter(number=number).first()
        if order is None:
            raise forms.ValidationError(f"There is no order {number}. Look its number up, or leave the box empty.")
        if order.state in (OrderState.CLOSED, OrderState.CANCELLED):
            raise forms.ValidationError(f"{order} is {order.state.label.lower()}. Nothing more is made for it.")
        return order

    def clean_supplier(self) -> str:
        return " ".join(self.cleaned_data["supplier"].split())

    def clean_received_on(self) -> date:
        day: date = self.cleaned_data["received_on"]
        if day > self.today:
            raise forms.ValidationError("That day is still to come. Write a delivery down once it is here.")
        return day

    @property
    def details(self) -> dict[str, Any]:
        names = ("supplier_lot", "expires_on", "belongs_to", "is_damaged", *self.paper_fields)
        return {name: self.cleaned_data[name] for name in names}
