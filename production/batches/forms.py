"""What is typed at the bench. Weights may be typed with or without "g"; what was typed always stays."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django import forms

from formulas.forms.boxes import LengthField
from orders.forms.boxes import DayField, OnceField, day_box
from production.batches.frozen import FrozenPart, FrozenPlan
from production.batches.models import Deviation
from production.stock.models import PartLot
from soapshop.quantity import QuantityRefused, mass_grams

MOST_BARS = 10_000
# No pot of a small workshop weighs a ton; such a figure is a slip of the keyboard.
MOST_GRAMS = Decimal(1_000_000)
MILLIGRAM = Decimal("0.001")
LONGEST_AGO = timedelta(days=366)
COUNT_SENTENCES = {
    "invalid": "Type a whole number of bars.",
    "min_value": "A count is 0 or more.",
    "max_value": "That is more than a rack holds. Count again.",
}


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


def count_box() -> forms.TextInput:
    attrs = {"inputmode": "numeric", "autocomplete": "off", "data-unit": "bars", "class": "narrow"}
    return forms.TextInput(attrs=attrs)


class WeighForm(forms.Form):
    lot = forms.CharField(max_length=40, label="Lot on the tub", error_messages={"required": "Which lot is it from?"})
    grams = GramsField(label="The scale shows", error_messages={"required": "What does the scale show?"})
    what_happened = forms.CharField(
        max_length=300,
        required=False,
        label="What happened?",
        help_text="Only when the weight lies outside the accepted band.",
    )

    scale = forms.CharField(
        max_length=40,
        required=False,
        label="On another scale",
        help_text="Left empty: the usual one for this dose.",
        widget=forms.TextInput(attrs={"list": "scales", "autocomplete": "off", "class": "narrow"}),
    )
    is_part = forms.BooleanField(
        required=False, label="Only a part", help_text="The tub is empty; the rest comes from another lot."
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
    typed_once = OnceField()


class DoneOnField(DayField):
    """The day something was done at the bench: never still to come, and hardly a year ago."""

    def __init__(self, *, today: date, **kwargs: Any) -> None:
        super().__init__(widget=day_box(), error_messages={"required": "Which day was it?"}, initial=today, **kwargs)
        self.today = today

    def clean(self, value: Any) -> date | None:
        day = super().clean(value)
        if day is not None and day > self.today:
            raise forms.ValidationError("That day is still to come. Note it on the day it is done.")
        if day is not None and day < self.today - LONGEST_AGO:
            raise forms.ValidationError("That is more than a year ago. Check the year.")
        return day


class PourForm(forms.Form):
    in_molds = GramsField(required=False, label="In the molds, without the mold")
    left_in_pots = GramsField(required=False, label="Left in pot and jugs")
    filled_to = LengthField(
        required=False,
        label="The batter stands in the mold",
        help_text="From the bottom to its top, such as 62 mm. The next batch of this formula is sized by it.",
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields = {
            "on": DoneOnField(today=today, label="Poured on"),
            **self.fields,
            "reason": forms.CharField(
                max_length=300,
                required=False,
                label="Reason",
                help_text="Only when the superfat lies below the floor, or the weight in the molds outside its limits.",
            ),
        }


class PartLotField(forms.ModelChoiceField):
    """A lot that pieces come from. Lots past their use-by stay in the list and say so: taking one is refused."""

    def __init__(self, part: FrozenPart, *, today: date) -> None:
        lots = PartLot.objects.filter(part_id=part.part_id, pieces_left__gt=0).first_to_go()
        super().__init__(lots, required=False, empty_label="not from a lot", label=f"Lot of {part.name}")
        self.today = today
        self.initial = lots.usable(on=today).filter(pieces_left__gte=part.pieces).first()

    def label_from_instance(self, lot: PartLot) -> str:
        said = [f"{lot.code}: {lot.pieces_left} left"]
        said += ["on hold"] if lot.is_held else []
        if lot.use_by is not None:
            word = "was to be used by" if lot.is_out_of_date(self.today) else "use by"
            said.append(f"{word} {lot.use_by:%b} {lot.use_by.day}")
        return ", ".join(said)


class CutForm(forms.Form):
    """Good bars by finish, spoiled ones, and what a fresh bar weighs; one box for each finish of the plan."""

    spoiled = forms.IntegerField(
        min_value=0,
        max_value=MOST_BARS,
        required=False,
        label="Spoiled bars",
        widget=count_box(),
        error_messages=COUNT_SENTENCES,
    )
    mean_bar = GramsField(required=False, label="A fresh bar weighs, on average")
    ends = GramsField(required=False, label="Ends and trims together")
    reason = forms.CharField(
        max_length=300,
        required=False,
        label="Reason",
        help_text="Only when bars, ends and trims weigh too little or too much, or too few bars are good.",
    )

    def __init__(self, *args: Any, plan: FrozenPlan, today: date, **kwargs: Any) -> None:
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
                error_messages=COUNT_SENTENCES,
            )
        for part in plan.parts:
            if not part.is_work:
                boxes[f"part_{part.key}"] = PartLotField(part, today=today)
        self.fields = {"on": DoneOnField(today=today, label="Cut on"), **boxes, **self.fields}

    @property
    def bars_by_finish(self) -> dict[str, int]:
        return {finish.key: self.cleaned_data[f"finish_{finish.key}"] or 0 for finish in self.plan.finishes}

    @property
    def part_lots(self) -> dict[str, int]:
        chosen = {part.key: self.cleaned_data.get(f"part_{part.key}") for part in self.plan.parts}
        return {key: lot.pk for key, lot in chosen.items() if lot is not None}


class DecisionForm(forms.Form):
    decision = forms.ChoiceField(
        choices=[choice for choice in Deviation.Decision.choices if choice[0]],
        error_messages={"required": "Choose a decision."},
    )
    words = forms.CharField(max_length=400, label="Because", error_messages={"required": "Say in a sentence why."})


class CancelOrderForm(ReasonForm):
    reason = forms.CharField(
        max_length=300, label="Why?", error_messages={"required": "Say in a few words why the order is cancelled."}
    )


class PlanForm(forms.Form):
    pour_on = DayField(required=False, label="Pour on", help_text="Left empty, each batch takes its own pour-by day.")
