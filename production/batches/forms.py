"""What is typed at the bench. Weights may be typed with or without "g"; what was typed always stays."""

from decimal import Decimal
from typing import Any

from django import forms

from production.batches.frozen import FrozenPlan
from production.batches.models import Deviation
from production.stock.models import PartLot
from soapshop.quantity import QuantityRefused, mass_grams

MOST_BARS = 10_000


class GramsField(forms.CharField):
    """A weight as a person types it, such as 335.2 or 1 lb 4 oz; cleans to exact grams."""

    def __init__(self, **kwargs: Any) -> None:
        attrs = {"inputmode": "decimal", "autocomplete": "off", "data-unit": "g", "class": "narrow"}
        kwargs.setdefault("widget", forms.TextInput(attrs=attrs))
        super().__init__(max_length=40, **kwargs)

    def clean(self, value: Any) -> Decimal | None:  # type: ignore[override]
        typed = super().clean(value)
        if not typed:
            return None
        try:
            return mass_grams(typed, default_unit="gram")
        except QuantityRefused as refusal:
            raise forms.ValidationError(str(refusal)) from refusal


def count_box() -> forms.TextInput:
    attrs = {"inputmode": "numeric", "autocomplete": "off", "data-unit": "bars", "class": "narrow"}
    return forms.TextInput(attrs=attrs)


def day_box() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class WeighForm(forms.Form):
    lot = forms.CharField(max_length=40, label="Lot on the tub", error_messages={"required": "Which lot is it from?"})
    grams = GramsField(label="The scale shows", error_messages={"required": "What does the scale show?"})
    what_happened = forms.CharField(
        max_length=300,
        required=False,
        label="What happened?",
        help_text="Only when the weight lies outside the accepted band.",
    )

    def __init__(self, *args: Any, lots: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["lot"].widget.attrs.update({"list": lots, "autocomplete": "off", "class": "narrow"})


class ReasonForm(forms.Form):
    reason = forms.CharField(max_length=300, label="Why?", error_messages={"required": "Say in a few words why."})


class ExtraForm(forms.Form):
    lot = forms.CharField(max_length=40, label="Lot", error_messages={"required": "Which lot is it from?"})
    grams = GramsField(label="Went in", error_messages={"required": "How much went in?"})
    what_happened = forms.CharField(
        max_length=300, label="What happened?", error_messages={"required": "Say in a few words what happened."}
    )


class PourForm(forms.Form):
    on = forms.DateField(widget=day_box(), label="Poured on")
    in_molds = GramsField(required=False, label="In the molds")
    reason = forms.CharField(
        max_length=300, required=False, label="Reason", help_text="Only when the superfat lies below the floor."
    )


class CutForm(forms.Form):
    """Good bars by finish, spoiled ones, and what a fresh bar weighs; one box for each finish of the plan."""

    on = forms.DateField(widget=day_box(), label="Cut on")
    spoiled = forms.IntegerField(
        min_value=0,
        max_value=MOST_BARS,
        required=False,
        widget=count_box(),
        error_messages={"invalid": "Type a whole number of bars."},
    )
    mean_bar = GramsField(required=False, label="A fresh bar weighs, on average")
    ends = GramsField(required=False, label="Ends and trims together")

    def __init__(self, *args: Any, plan: FrozenPlan, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.plan = plan
        boxes: dict[str, forms.Field] = {}
        for finish in plan.finishes:
            boxes[f"finish_{finish.key}"] = forms.IntegerField(
                min_value=0,
                max_value=MOST_BARS,
                required=False,
                label=f"Good bars: {finish.label}",
                help_text=f"{finish.bars} planned",
                widget=count_box(),
                error_messages={"invalid": "Type a whole number of bars."},
            )
        for part in plan.parts:
            lots = PartLot.objects.filter(part_id=part.part_id, is_held=False, pieces_left__gt=0).order_by("use_by")
            boxes[f"part_{part.key}"] = forms.ModelChoiceField(
                lots, required=False, empty_label="not from a lot", label=f"Lot of {part.name}"
            )
        self.fields = {"on": self.fields.pop("on"), **boxes, **self.fields}

    @property
    def bars_by_finish(self) -> dict[str, int]:
        return {finish.key: self.cleaned_data[f"finish_{finish.key}"] or 0 for finish in self.plan.finishes}

    @property
    def part_lots(self) -> dict[str, int]:
        chosen = {part.key: self.cleaned_data[f"part_{part.key}"] for part in self.plan.parts}
        return {key: lot.pk for key, lot in chosen.items() if lot is not None}


class DecisionForm(forms.Form):
    decision = forms.ChoiceField(choices=[choice for choice in Deviation.Decision.choices if choice[0]])
    words = forms.CharField(max_length=400, label="Because", error_messages={"required": "Say in a sentence why."})


class PlanForm(forms.Form):
    pour_on = forms.DateField(
        required=False, widget=day_box(), label="Pour on", help_text="Left empty, each batch takes its own pour-by day."
    )
