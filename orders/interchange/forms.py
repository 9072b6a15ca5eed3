"""The box for a file; its text travels through the preview, so that what was seen is what is written."""

from typing import Any

from django import forms

from orders.interchange.order_file import MOST_LETTERS, OrderFileRefused, decoded


class FileForm(forms.Form):
    chosen = forms.FileField(
        required=False, label="CSV file", widget=forms.FileInput(attrs={"accept": ".csv,text/csv"})
    )
    seen = forms.CharField(required=False, strip=False, max_length=MOST_LETTERS, widget=forms.HiddenInput)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        chosen, seen = cleaned.get("chosen"), cleaned.get("seen")
        if chosen is not None:
            if chosen.size > MOST_LETTERS:
                raise forms.ValidationError("This file is too large. Split it into files of at most 2,000 lines.")
            try:
                cleaned["text"] = decoded(chosen.read())
            except OrderFileRefused as refusal:
                self.add_error("chosen", str(refusal))
        elif seen:
            cleaned["text"] = seen
        elif "chosen" not in self.errors:
            self.add_error("chosen", "Choose a file first.")
        return cleaned
