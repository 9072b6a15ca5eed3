"""What is typed for one line of the weigh-out: from which lot, and what the scale shows."""

from decimal import Decimal
from typing import Any

from django import forms

from orders.forms.boxes import OnceField
from production.batches.boxes import GramsField, LotField, ScaleField

WHICH_LOT = "Which lot is it from? Tap it, scan its label or type it."


class WeighForm(forms.Form):
    """The lot is chosen, scanned or typed by the person at the tub: it is never filled in for them."""

    chosen = forms.CharField(max_length=40, required=False, widget=forms.HiddenInput)
    lot = LotField(label="Another lot, or scan its label", required=False)
    grams = GramsField(label="The scale shows", error_messages={"required": "What does the scale show?"})
    what_happened = forms.CharField(
        max_length=300,
        required=False,
        label="What happened?",
        help_text="Only when the weight lies outside the accepted band.",
    )
    scale = ScaleField()
    vessel = GramsField(
        required=False,
        label="Stands on it already",
        help_text="Pot and what is in it. The scale carries that too, zeroed or not.",
    )
    is_part = forms.BooleanField(
        required=False, label="Only a part", help_text="The tub is empty; the rest comes from another lot."
    )
    typed_once = OnceField()

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        given["lot"] = given.get("lot") or given.get("chosen", "")
        if not given["lot"] and "lot" not in self.errors:
            self.add_error("lot", WHICH_LOT)
        given["vessel"] = given.get("vessel") or Decimal(0)
        return given

    @property
    def asks_more(self) -> bool:
        """Whether one of the boxes that are folded away was filled in or refused."""
        folded = ("what_happened", "scale", "vessel", "is_part")
        return self.is_bound and (bool(self.errors) or any(self[name].value() for name in folded))
