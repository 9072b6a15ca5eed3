"""Boxes of the bench: a weight, a lot that is typed or scanned, a scale from the list."""

import re
from decimal import Decimal
from typing import Any, cast

from django import forms

from production.scales.models import Scale
from soapshop.quantity import QuantityRefused, mass_grams

# No pot of a small workshop weighs a ton; such a figure is a slip of the keyboard.
MOST_GRAMS = Decimal(1_000_000)
MILLIGRAM = Decimal("0.001")
# What the code on a lot's label holds: an address with the lot in it.
LABEL_ADDRESS = re.compile(r"/lots/(?P<code>[-\w]{1,40})(?:/|$)")
USUAL_SCALE = "the usual one for this dose"


class GramsField(forms.CharField):
    """A weight as a person types it, such as 335.2 or 1 lb 4 oz; cleans to exact grams."""

    def __init__(self, **kwargs: Any) -> None:
        attrs = {"inputmode": "decimal", "autocomplete": "off", "data-unit": "g", "class": "narrow"}
        kwargs.setdefault("widget", forms.TextInput(attrs=attrs))
        super().__init__(max_length=40, **kwargs)

    def clean(self, value: Any) -> Decimal | None:
        typed = super().clean(value)
        if not typed:
            return None
        try:
            grams = mass_grams(typed, default_unit="gram")
        except QuantityRefused as refusal:
            raise forms.ValidationError(str(refusal)) from refusal
        if grams > MOST_GRAMS:
            raise forms.ValidationError("That is more than a ton. Read the scale again.")
        return grams.quantize(MILLIGRAM)


class LotField(forms.CharField):
    """A lot as it is typed, or as a scanner types it from the tub's label: then an address with the lot in it."""

    def __init__(self, **kwargs: Any) -> None:
        attrs = {"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false", "class": "narrow"}
        super().__init__(max_length=300, widget=forms.TextInput(attrs=attrs), **kwargs)

    def clean(self, value: Any) -> str:
        typed: str = super().clean(value)
        found = LABEL_ADDRESS.search(typed)
        return found["code"] if found else typed[:40]


class ScaleField(forms.CharField):
    """One of the workshop's scales by name; left empty, the usual one."""

    def __init__(self) -> None:
        super().__init__(max_length=40, label="On the scale", required=False, widget=forms.Select())


def offer_scales(*shown: forms.Form) -> None:
    """Put the workshop's scales into the boxes of these forms; one query."""
    names = Scale.objects.in_use().values_list("name", flat=True)
    choices = [("", USUAL_SCALE), *((name, name) for name in names)]
    for form in shown:
        cast(forms.Select, form.fields["scale"].widget).choices = choices
