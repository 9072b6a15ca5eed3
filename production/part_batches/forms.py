"""What is typed about a batch of parts: how many, what went in, what came of it."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms

from formulas.forms.boxes import decimal_box
from orders.forms.boxes import DayField, OnceField
from production.batches.forms import DoneOnField, GramsField
from production.part_batches.models import PartWeighing
from production.part_batches.sizing import MOST_PIECES

COUNT_SENTENCES = {
    "required": "How many pieces?",
    "invalid": "Type a whole number of pieces, such as 40.",
    "min_value": "Count at least one piece.",
    "max_value": f"That is more than {MOST_PIECES:,} pieces. Check the number.",
}


def pieces_field(label: str) -> forms.IntegerField:
    return forms.IntegerField(
        min_value=1, max_value=MOST_PIECES, label=label, widget=decimal_box("pieces"), error_messages=COUNT_SENTENCES
    )


class PlanPartsForm(forms.Form):
    pieces = pieces_field("Pieces to pour")
    make_on = DayField(label="Pour on", error_messages={"required": "On which day?"})
    typed_once = OnceField()

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["make_on"].initial = today

    def clean_make_on(self) -> date:
        day: date = self.cleaned_data["make_on"]
        if day < self.today:
            raise forms.ValidationError("That day has passed. Pour today or later.")
        return day


class WeighPartsForm(forms.Form):
    """A lot and a weight for each line of the weigh-out, all sent together."""

    def __init__(self, *args: Any, lines: Sequence[PartWeighing], lots: dict[int, str], today: date, **kwargs: Any):
        super().__init__(*args, **kwargs)
        self.lines = lines
        for line in lines:
            name = line.material.name
            self.fields[f"lot_{line.pk}"] = forms.CharField(
                max_length=40,
                label=f"Lot of {name}",
                initial=lots.get(line.material_id, ""),
                widget=forms.TextInput(attrs={"autocomplete": "off", "class": "narrow"}),
                error_messages={"required": f"Which lot of {name} is it from?"},
            )
            self.fields[f"grams_{line.pk}"] = GramsField(
                label=f"{name}, weighed", error_messages={"required": f"What does the scale show for {name}?"}
            )
        self.fields["made_on"] = DoneOnField(today=today, label="Poured on")
        self.fields["what_happened"] = forms.CharField(
            max_length=400,
            required=False,
            label="What happened?",
            help_text="Only when a weight lies outside its band, or the superfat below the floor.",
        )

    @property
    def rows(self) -> list[tuple[PartWeighing, forms.BoundField, forms.BoundField]]:
        return [(line, self[f"lot_{line.pk}"], self[f"grams_{line.pk}"]) for line in self.lines]

    @property
    def last_boxes(self) -> list[forms.BoundField]:
        return [self["made_on"], self["what_happened"]]

    @property
    def weights(self) -> dict[int, tuple[str, Decimal]]:
        cleaned = self.cleaned_data
        return {line.pk: (cleaned[f"lot_{line.pk}"], cleaned[f"grams_{line.pk}"]) for line in self.lines}


class ShelveForm(forms.Form):
    pieces = pieces_field("Good pieces")
    use_by = DayField(
        required=False,
        label="Use by",
        help_text="Empty: 90 days from the pour wrapped, one day open (common practice).",
    )
    is_wrapped = forms.BooleanField(required=False, initial=True, label="Wrapped in film and closed up")
    note = forms.CharField(max_length=300, required=False, label="Note", help_text="Such as wrapped, in box 4.")


class GiveUpForm(forms.Form):
    reason = forms.CharField(max_length=300, label="Why?", error_messages={"required": "Say in a few words why."})
