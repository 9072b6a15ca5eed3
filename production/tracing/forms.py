"""What is typed about a recall: what it is about, who was told, and how it ended."""

from typing import Any
from uuid import uuid4

from django import forms

from production.tracing.models import Recall, RecallContact

COUNT_WORDS = {
    "invalid": "Type a whole number of bars, such as 12.",
    "min_value": "Less than no bar cannot be right. Check the number.",
    "max_value": "That is more bars than a batch can have. Check the number.",
}
MOST_BARS = 1_000_000


def bars_field(label: str, **more: Any) -> forms.IntegerField:
    box = forms.TextInput(attrs={"inputmode": "numeric", "class": "narrow", "autocomplete": "off", "data-unit": "bars"})
    return forms.IntegerField(
        label=label, required=False, min_value=0, max_value=MOST_BARS, widget=box, error_messages=COUNT_WORDS, **more
    )


class RecallForm(forms.Form):
    typed = forms.CharField(
        max_length=80,
        label="Lot, batch, order or supplier’s lot",
        help_text="A range such as 4001-9288 and a list with commas work for suppliers’ lots.",
        error_messages={"required": "What is it about? Type a lot, a batch, an order or a supplier’s lot."},
    )
    trigger = forms.ChoiceField(
        choices=[pair for pair in Recall.Trigger.choices if pair[0] != Recall.Trigger.PRACTICE],
        label="How it came up",
        error_messages={"required": "How did it come up? Choose one.", "invalid_choice": "Choose one from the list."},
    )
    scope = forms.ChoiceField(
        choices=Recall.Scope.choices,
        label="Affected",
        help_text="A faulty cap or carton leaves the bars sound: then only the stock is stopped.",
        error_messages={"required": "What is affected? Choose one.", "invalid_choice": "Choose one from the list."},
    )
    reason = forms.CharField(
        max_length=400,
        label="What it is about",
        error_messages={"required": "Say in a sentence what it is about. It stands on the paper."},
    )
    hazard = forms.CharField(max_length=400, required=False, label="What it may do", help_text="As far as is known.")
    typed_once = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["initial"] = {"typed_once": uuid4(), **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)


class ContactForm(forms.Form):
    order_number = forms.CharField(
        max_length=20,
        label="Order",
        widget=forms.TextInput(attrs={"class": "narrow", "autocomplete": "off", "list": "calls"}),
        error_messages={"required": "Whom did you tell? Type the number of their order."},
    )
    way = forms.ChoiceField(
        choices=RecallContact.Way.choices,
        label="How",
        error_messages={"required": "How were they told? Choose one.", "invalid_choice": "Choose one from the list."},
    )
    has_answered = forms.BooleanField(required=False, label="They have answered")
    answer = forms.CharField(max_length=300, required=False, label="What they said")
    bars_back = bars_field("Bars back or destroyed")


class FinishForm(forms.Form):
    bars_counted = bars_field("Bars counted in the house", help_text="By hand, on rack, shelf and in boxes.")
    authority = forms.CharField(max_length=300, required=False, label="Authority told, by whom and when")
    cause = forms.CharField(max_length=400, required=False, label="Cause")
    words = forms.CharField(
        max_length=400,
        label="How it ended",
        error_messages={"required": "Say in a sentence how it ended, such as all bars found."},
    )

    def __init__(self, *args: Any, is_drill: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if is_drill:
            del self.fields["authority"], self.fields["cause"]
