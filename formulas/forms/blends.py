"""A color blend as a form: its swatch, its colorants in parts, the usual dose, and what was learned."""

from decimal import Decimal
from typing import Any

from django import forms

from formulas.actions.blends import BlendPartDraft
from formulas.forms.boxes import decimal_box, material_named, row_formset, speak_plainly
from formulas.models import ColorBlend
from formulas.reads.blends import COLOR_KINDS

MOST_PARTS = Decimal(1000)


class BlendForm(forms.ModelForm):
    class Meta:
        model = ColorBlend
        fields = ("name", "color_hex", "dose_low_percent", "dose_high_percent", "learned", "is_shelved")
        widgets = {
            "color_hex": forms.TextInput(attrs={"type": "color"}),
            "dose_low_percent": decimal_box("%"),
            "dose_high_percent": decimal_box("%"),
            "learned": forms.Textarea(attrs={"rows": 3}),
        }
        labels = {
            "color_hex": "Swatch",
            "dose_low_percent": "Usual dose from",
            "dose_high_percent": "Usual dose to",
            "learned": "What was learned",
            "is_shelved": "No longer mixed",
        }
        help_texts = {
            "dose_low_percent": "Percent of the oils in the jug.",
            "learned": "Such as: turns gray in gel, bleeds into white after three weeks.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        speak_plainly(self)
        self.fields["name"].error_messages["required"] = "What is this shade called? Name it, such as dune."

    def clean_name(self) -> str:
        return " ".join(self.cleaned_data["name"].split())

    def _clean_dose(self, name: str) -> Any:
        dose = self.cleaned_data[name]
        if dose is not None and not 0 < dose <= 10:
            raise forms.ValidationError("A dose lies above 0 and at most 10 percent of the oils in the jug.")
        return dose

    def clean_dose_low_percent(self) -> Any:
        return self._clean_dose("dose_low_percent")

    def clean_dose_high_percent(self) -> Any:
        return self._clean_dose("dose_high_percent")


class BlendPartForm(forms.Form):
    """One colorant; a row with both boxes empty is left out."""

    material = forms.CharField(
        max_length=120,
        required=False,
        label="Colorant",
        widget=forms.TextInput(attrs={"list": "colorants", "autocomplete": "off"}),
    )
    parts = forms.DecimalField(
        max_digits=7, decimal_places=3, required=False, label="Parts by weight", widget=decimal_box()
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        speak_plainly(self)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        name, parts = " ".join(cleaned.get("material", "").split()), cleaned.get("parts")
        if not name and parts is None:
            return cleaned
        if not name:
            self.add_error("material", "Which colorant? Name it, or clear its parts.")
            return cleaned
        try:
            cleaned["found"] = material_named(name, kinds=COLOR_KINDS)
        except forms.ValidationError as refusal:
            self.add_error("material", refusal)
        if parts is None and "parts" not in self.errors:
            self.add_error("parts", "How many parts of it? Type such as 1.")
        elif parts is not None and not 0 < parts <= MOST_PARTS:
            self.add_error("parts", "A colorant has more than 0 and at most 1,000 parts.")
        return cleaned

    @property
    def draft(self) -> BlendPartDraft | None:
        cleaned = getattr(self, "cleaned_data", {})
        found, parts = cleaned.get("found"), cleaned.get("parts")
        return None if found is None or parts is None else BlendPartDraft(found, parts)


BlendPartFormSet = row_formset(BlendPartForm, extra=2)
