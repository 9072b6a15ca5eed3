"""What is typed when the finished bars of a lot are weighed one by one."""

import re
from decimal import Decimal
from typing import Any
from uuid import uuid4

from django import forms

from production.batches.forms import GramsField, day_box
from production.scales.models import Scale
from soapshop.quantity import QuantityRefused, mass_grams

BETWEEN = re.compile(r"[\s;]+")
MOST_WEIGHTS = 500


class LotForm(forms.Form):
    """Weights of the bars, one after the other, as the scale shows them."""

    on = forms.DateField(widget=day_box(), label="Weighed on", error_messages={"required": "Which day was it?"})
    scale = forms.ModelChoiceField(
        Scale.objects.none(), required=False, empty_label="not noted", label="On which scale"
    )
    tare = GramsField(required=False, label="Wrapper on each bar", help_text="Taken off every weight; empty if bare.")
    weights = forms.CharField(
        label="What the scale shows, bar by bar",
        help_text="In grams, with a space or a new line between: 118.2 117.9 119.0",
        widget=forms.Textarea(attrs={"rows": 4, "inputmode": "decimal", "autocomplete": "off"}),
        max_length=6000,
        error_messages={"required": "Weigh at least one bar."},
    )
    typed_once = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["scale"].queryset = Scale.objects.in_use()  # type: ignore[attr-defined]

    def clean_weights(self) -> tuple[Decimal, ...]:
        typed = [each for each in BETWEEN.split(self.cleaned_data["weights"].strip()) if each]
        if len(typed) > MOST_WEIGHTS:
            raise forms.ValidationError(f"{len(typed)} weights are too many for one lot. Weigh {MOST_WEIGHTS} at most.")
        found = []
        for number, each in enumerate(typed, start=1):
            try:
                found.append(mass_grams(each.replace(",", "."), default_unit="gram"))
            except QuantityRefused as refusal:
                raise forms.ValidationError(f"Bar {number}, “{each[:20]}”: {refusal}") from refusal
        return tuple(found)
