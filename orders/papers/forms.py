from typing import Any

from django import forms

from orders.forms.boxes import OnceField
from orders.models import Paper
from orders.money.forms import AmountField


class PaperForm(forms.Form):
    kind = forms.ChoiceField(
        choices=Paper.Kind.choices,
        error_messages={
            "required": "Which paper? Use the buttons on this page.",
            "invalid_choice": "That is no paper of this shop. Use the buttons on this page.",
        },
    )
    words = forms.CharField(
        max_length=400,
        required=False,
        error_messages={"max_length": "A paper holds 400 letters here. Shorten the words."},
    )
    amount = AmountField(required=False)
    payment_id = forms.IntegerField(
        required=False,
        min_value=1,
        max_value=2_000_000_000,
        error_messages={"invalid": "Choose the payment from the list on this page."},
    )
    typed_once = OnceField()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        return {name: figure for name, figure in cleaned.items() if figure not in (None, "")}
