"""What a person types about label stocks and printers."""

from decimal import Decimal
from typing import Any

from django import forms

from production.labels.models import ShopStock
from production.labels.printer_fit import Readings

MEASURES = (
    "page_width_mm",
    "page_height_mm",
    "label_width_mm",
    "label_height_mm",
    "left_mm",
    "top_mm",
    "pitch_x_mm",
    "pitch_y_mm",
    "corner_radius_mm",
    "safe_margin_mm",
    "bleed_mm",
    "glue_mm",
    "hole_mm",
)
MUST_BE_MORE = ("page_width_mm", "page_height_mm", "label_width_mm", "label_height_mm", "pitch_x_mm", "pitch_y_mm")
LONGEST_MM = Decimal(900)
SAID = {
    "required": "Type millimeters, such as 63.5.",
    "invalid": "Type millimeters, such as 63.5.",
    "max_digits": "That is more than a page can be. Check the unit.",
    "max_decimal_places": "Three decimals are finer than any printer.",
    "max_whole_digits": "That is more than a page can be. Check the unit.",
}


def _box(unit: str) -> forms.TextInput:
    return forms.TextInput(attrs={"inputmode": "decimal", "class": "narrow", "autocomplete": "off", "data-unit": unit})


class StockForm(forms.ModelForm):
    class Meta:
        model = ShopStock
        fields = ("name", "shape", "columns", "rows", *MEASURES, "is_shelved")
        widgets = {name: _box("mm") for name in MEASURES} | {"columns": _box(""), "rows": _box("")}
        error_messages = dict.fromkeys(MEASURES, SAID) | {
            "name": {"required": "Give the stock a name.", "unique": "There is a stock of that name. Choose another."},
            "columns": {"required": "How many labels lie side by side?", "invalid": "Type a whole number, such as 3."},
            "rows": {
                "required": "How many labels lie below each other?",
                "invalid": "Type a whole number, such as 7.",
            },
        }

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for name in MEASURES:
            figure = cleaned.get(name)
            if figure is None:
                continue
            if figure < 0 or figure > LONGEST_MM or (name in MUST_BE_MORE and figure < 1):
                self.add_error(name, f"Between {1 if name in MUST_BE_MORE else 0} and {LONGEST_MM} mm, please.")
        for name in ("columns", "rows"):
            if not 1 <= (cleaned.get(name) or 1) <= 50 or cleaned.get(name) == 0:
                self.add_error(name, "Between 1 and 50, please.")
        return cleaned


class PrinterForm(forms.Form):
    name = forms.CharField(
        label="Printer",
        max_length=60,
        error_messages={"required": "Give the printer a name.", "max_length": "Keep the name to 60 letters."},
    )


class ReadingsForm(forms.Form):
    stock = forms.ChoiceField(
        label="Label stock",
        widget=forms.HiddenInput,
        error_messages={"invalid_choice": "That stock is not there. Choose one of the list."},
    )

    def __init__(self, *args: Any, stocks: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["stock"].choices = stocks  # type: ignore[attr-defined]
        for name, label in (
            ("first_x_mm", "First corner, to the right"),
            ("first_y_mm", "First corner, down"),
            ("last_x_mm", "Last corner, to the right"),
            ("last_y_mm", "Last corner, down"),
        ):
            said = SAID | {"min_value": "The ruler ends at −10.", "max_value": "The ruler ends at 10."}
            self.fields[name] = forms.DecimalField(
                label=label,
                min_value=Decimal(-10),
                max_value=Decimal(10),
                decimal_places=2,
                max_digits=5,
                widget=_box("mm"),
                error_messages=said | {"required": "Read the ruler; 0 when it is right.", "invalid": "Such as 0.5."},
            )

    def readings(self) -> Readings:
        return Readings(**{name: self.cleaned_data[name] for name in Readings.__dataclass_fields__})
