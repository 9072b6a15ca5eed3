"""What is typed at the bench. Weights may be typed with or without "g"; what was typed always stays."""

from datetime import date, timedelta
from typing import Any

from django import forms

from formulas.forms.boxes import LengthField
from orders.forms.boxes import DayField, OnceField, day_box
from production.batches.boxes import GramsField, LotField, ScaleField
from production.batches.frozen import FrozenPart, FrozenPlan
from production.batches.models import Deviation
from production.stock.models import PartLot

MOST_BARS = 10_000
LONGEST_AGO = timedelta(days=366)
COUNT_SENTENCES = {
    "invalid": "Type a whole number of bars.",
    "min_value": "A count is 0 or more.",
    "max_value": "That is more than a rack holds. Count again.",
}


def count_box() -> forms.TextInput:
    attrs = {"inputmode": "numeric", "autocomplete": "off", "data-unit": "bars", "class": "narrow"}
    return forms.TextInput(attrs=attrs)


class ReasonForm(forms.Form):
    reason = forms.CharField(max_length=300, label="Why?", error_messages={"required": "Say in a few words why."})


class ExtraForm(forms.Form):
    lot = LotField(label="Lot", error_messages={"required": "Which lot is it from?"})
    grams = GramsField(label="Went in", error_messages={"required": "How much went in?"})
    what_happened = forms.CharField(
        max_length=300, label="What happened?", error_messages={"required": "Say in a few words what happened."}
    )
    scale = ScaleField()
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
    pot = GramsField(
        required=False, label="The pot with its oils weighs, without the pot", help_text="Before the lye meets them."
    )
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
                help_text="Only when the superfat is below the floor, or pot or molds weigh what cannot be right.",
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
