"""What is typed in a note, and what notes are looked for."""

from datetime import date
from decimal import Decimal
from typing import Any

from django import forms

from orders.forms.boxes import OnceField
from production.batches.forms import DoneOnField
from production.batches.models import Batch
from soapshop.photo_forms import PhotoBox

WHOLE = "batch"


class NoteForm(forms.Form):
    """One note; what it is about is one choice of what the batch has."""

    def __init__(self, *args: Any, batch: Batch, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields = {
            "about": forms.ChoiceField(
                choices=about_choices(batch, today=today),
                label="About",
                error_messages={"required": "What is it about? Choose one.", "invalid_choice": "Choose from the list."},
            ),
            "text": forms.CharField(
                max_length=1000,
                required=False,
                label="What you saw",
                widget=forms.Textarea(attrs={"rows": 3}),
                error_messages={"max_length": "A note has at most 1,000 letters. Make two of it."},
            ),
            "photo": PhotoBox(label="Photo", required=False, help_text="JPEG, PNG or WebP, at most 20 MB."),
            "on": DoneOnField(today=today, label="Seen on"),
            "typed_once": OnceField(),
        }

    @property
    def details(self) -> dict[str, Any]:
        """What was chosen and typed, as the action takes it."""
        kind, _, which = self.cleaned_data["about"].partition(":")
        names = {"jug": "portion_letter", "deviation": "deviation_id", "week": "week"}
        about = {} if kind == WHOLE else {names[kind]: which if kind == "jug" else int(which)}
        return {name: self.cleaned_data[name] for name in ("text", "photo", "on", "typed_once")} | about


def about_choices(batch: Batch, *, today: date) -> list[tuple[str, str]]:
    """Everything of the batch a note can be about: this week of cure first while it cures."""
    found = [(WHOLE, "The whole batch")]
    found += [(f"jug:{jug.letter}", f"Jug {jug.letter}: {jug.name}") for jug in batch.portions.all()]
    found += [(f"deviation:{each.pk}", f"Otherwise than planned: {each.what[:60]}") for each in batch.deviations.all()]
    if batch.poured_on is None:
        return found
    this_week = max((today - batch.poured_on).days // 7, 0)
    last = max(this_week, batch.cure_days // 7)
    weeks = [(f"week:{week}", f"Week {week} on the rack") for week in range(1, last + 1)]
    return sorted(weeks, key=lambda choice: choice[0] != f"week:{this_week}")[:1] + found + weeks


def percent_field(label: str) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        required=False,
        min_value=Decimal(0),
        max_value=Decimal(100),
        max_digits=6,
        decimal_places=2,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "class": "narrow", "data-unit": "%"}),
        error_messages={
            "invalid": "That is not a number. Type one such as 33.",
            "min_value": "A share lies between 0 and 100 %%.",
            "max_value": "A share lies between 0 and 100 %%.",
            "max_digits": "Round that to two digits behind the point.",
            "max_decimal_places": "Round that to two digits behind the point.",
        },
    )


class LookForm(forms.Form):
    """Which batches to look for; every box left empty lets all through."""

    words = forms.CharField(max_length=60, required=False, label="Words in notes")
    holds = forms.CharField(
        max_length=80,
        required=False,
        label="Made with",
        widget=forms.TextInput(attrs={"list": "materials", "autocomplete": "off"}),
    )
    lye_above = percent_field("Lye strength above")
    lye_below = percent_field("below")
