"""What is typed about a scale and its check. Weights may carry their unit; what was typed always stays."""

from typing import Any

from django import forms

from production.batches.forms import GramsField
from production.scales.models import Scale

FIGURES = ("name", "max_grams", "step_grams", "min_grams", "sd_grams", "place", "test_grams", "limit_grams")


class ScaleForm(forms.Form):
    name = forms.CharField(
        max_length=40, help_text="Such as Bench scale.", error_messages={"required": "What is it called?"}
    )
    max_grams = GramsField(label="Takes at most", error_messages={"required": "How much does it take?"})
    step_grams = GramsField(
        label="Shows steps of", error_messages={"required": "What is the smallest step it shows, such as 0.1 g?"}
    )
    test_grams = GramsField(
        label="Test weight",
        help_text="A mass near the usual load.",
        error_messages={"required": "How heavy is the test weight?"},
    )
    limit_grams = GramsField(
        label="May be off by",
        required=False,
        help_text="Left empty: what a shop scale of class III may be off in service (OIML R 76-1).",
    )
    min_grams = GramsField(label="Weighs from", required=False, help_text="As its plate says, if it does.")
    sd_grams = GramsField(
        label="Spread of ten weighings",
        required=False,
        help_text="Sample standard deviation of one mass weighed ten times; unknown counts as 0.41 steps.",
    )
    place = forms.CharField(max_length=80, required=False)

    field_order = FIGURES

    @classmethod
    def for_scale(cls, scale: Scale, typed: Any = None) -> "ScaleForm":
        return cls(typed, initial={name: _plain(getattr(scale, name)) for name in FIGURES})

    def clean_name(self) -> str:
        return " ".join(self.cleaned_data["name"].split())

    @property
    def figures(self) -> dict[str, Any]:
        given = {name: self.cleaned_data[name] for name in FIGURES}
        return given | {"min_grams": given["min_grams"] or 0}


def _plain(figure: Any) -> Any:
    if figure is None or isinstance(figure, str):
        return figure
    return f"{figure.normalize():f}"


class CheckForm(forms.Form):
    shown_grams = GramsField(
        label="The scale shows", error_messages={"required": "What does it show with the test weight on?"}
    )
    note = forms.CharField(max_length=300, required=False, label="Note")


class WaiveForm(forms.Form):
    reason = forms.CharField(
        max_length=300,
        label="Why it is used unchecked",
        error_messages={"required": "Say in a few words why it is used unchecked."},
    )
