from typing import Any

from django import forms

from orders.models import Order, Paper


class LetterForm(forms.Form):
    to = forms.EmailField(
        label="To",
        error_messages={"required": "To whom? Type an e-mail address.", "invalid": "That is no e-mail address."},
    )
    subject = forms.CharField(max_length=200, error_messages={"required": "A letter needs a subject."})
    body = forms.CharField(
        max_length=10_000,
        label="Letter",
        widget=forms.Textarea(attrs={"rows": 16}),
        error_messages={"required": "The letter is empty."},
    )
    paper = forms.ModelChoiceField(Paper.objects.none(), required=False, label="Attach", empty_label="No paper")

    def __init__(self, *args: Any, order: Order, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["paper"].queryset = Paper.objects.filter(order=order)  # type: ignore[attr-defined]
