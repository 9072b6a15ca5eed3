"""What is typed at the rack and the packing table. Figures may be typed as people write them; what was typed stays."""

from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms

from production.batches.forms import GramsField, day_box
from production.cure.actions.checks import CheckReading
from production.cure.models import Check

MOST_FIGURE = Decimal(100_000)


class FigureField(forms.CharField):
    """A plain figure, such as 0.85; a comma may stand for the point."""

    def __init__(self, *, unit: str = "", **kwargs: Any) -> None:
        attrs = {"inputmode": "decimal", "autocomplete": "off", "class": "narrow"}
        kwargs.setdefault("widget", forms.TextInput(attrs=attrs | ({"data-unit": unit} if unit else {})))
        super().__init__(max_length=20, **kwargs)

    def clean(self, value: Any) -> Decimal | None:
        typed = super().clean(value)
        if not typed:
            return None
        try:
            figure = Decimal(typed.strip().replace(",", "."))
        except InvalidOperation:
            figure = Decimal("NaN")
        if not figure.is_finite() or abs(figure) > MOST_FIGURE:
            raise forms.ValidationError(f"“{typed}” is not a figure. Type it like 0.85.")
        return figure


class FindForm(forms.Form):
    scent = forms.CharField(max_length=80, required=False, label="Scent")
    lye = FigureField(required=False, label="Lye at least this strong", unit="%")


class WeighInForm(forms.Form):
    """One box for each marked bar that was weighed before, and room for more bars."""

    on = forms.DateField(widget=day_box(), label="Weighed on", error_messages={"required": "Which day was it?"})
    note = forms.CharField(
        max_length=300,
        required=False,
        label="How they smell and look this week",
        help_text="Scent, color, ash, spots: a few words, to look up later.",
    )
    reason = forms.CharField(
        max_length=200,
        required=False,
        label="Why, if a figure is questioned or put right",
        help_text="Leave it empty otherwise.",
    )

    def __init__(self, *args: Any, last: dict[str, str], **kwargs: Any) -> None:
        """`last` gives for each marked bar what it weighed last, in words."""
        super().__init__(*args, **kwargs)
        self.marks = list(last) or ["1", "2", "3"]
        boxes: dict[str, forms.Field] = {}
        for place, mark in enumerate(self.marks):
            boxes[f"grams_{place}"] = GramsField(required=False, label=f"Bar {mark}", help_text=last.get(mark, ""))
        boxes["new_mark"] = forms.CharField(
            max_length=10,
            required=False,
            label="Another bar, mark",
            widget=forms.TextInput(attrs={"class": "narrow", "autocomplete": "off"}),
        )
        boxes["new_grams"] = GramsField(required=False, label="Its weight")
        self.fields = {"on": self.fields.pop("on"), **boxes, **self.fields}

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        if given.get("new_grams") and not given.get("new_mark"):
            self.add_error("new_mark", "Which mark does this bar carry?")
        if given.get("new_mark") and not given.get("new_grams") and "new_grams" not in self.errors:
            self.add_error("new_grams", "What does it weigh?")
        return given

    @property
    def boxes(self) -> list[forms.BoundField]:
        """The boxes of the bars that carry a mark already."""
        return [self[f"grams_{place}"] for place in range(len(self.marks))]

    @property
    def weights(self) -> dict[str, Decimal]:
        found = {mark: self.cleaned_data.get(f"grams_{place}") for place, mark in enumerate(self.marks)}
        if self.cleaned_data.get("new_mark"):
            found[self.cleaned_data["new_mark"].strip()] = self.cleaned_data["new_grams"]
        return {mark: grams for mark, grams in found.items() if grams is not None}


class CheckForm(forms.Form):
    """What every test has; each kind of test asks for its own readings besides."""

    method = ""
    on = forms.DateField(widget=day_box(), label="Made on", error_messages={"required": "Which day was it?"})
    note = forms.CharField(max_length=300, required=False, label="Note")

    def reading(self) -> CheckReading:
        readings = {name: given for name, given in self.cleaned_data.items() if name in READINGS}
        return CheckReading(
            method=self.method,
            is_normal=not self.cleaned_data.get("is_not_normal", False),
            note=self.cleaned_data["note"],
            **readings,
        )


READINGS = frozenset({"ph", "acid_ml", "acid_mol_per_l", "soap_grams", "is_meter_checked"})


class TitrationForm(CheckForm):
    method = Check.Method.TITRATION.value
    acid_ml = FigureField(unit="mL", label="Acid used", error_messages={"required": "How much acid was used?"})
    acid_mol_per_l = FigureField(
        unit="mol/L", label="Strength of the acid", error_messages={"required": "What does the bottle say?"}
    )
    soap_grams = FigureField(
        unit="g",
        label="Soap in the flask",
        help_text="From two bars or three spots: one in the middle, one at the bottom.",
        error_messages={"required": "How much soap was weighed in?"},
    )
    field_order = ("on", "soap_grams", "acid_ml", "acid_mol_per_l", "note")


class PhForm(CheckForm):
    method = Check.Method.PH.value
    ph = FigureField(
        label="pH", help_text="Of a 1 % solution at 20 to 25 °C.", error_messages={"required": "What did it read?"}
    )
    is_meter_checked = forms.BooleanField(required=False, label="The meter was checked that day")
    field_order = ("on", "ph", "is_meter_checked", "note")


class LooksForm(CheckForm):
    method = Check.Method.LOOKS.value
    is_not_normal = forms.BooleanField(
        required=False,
        label="Something is not right",
        help_text="Oozing, white pockets, separation, crumble, lye beads. Say what and where in the note.",
    )
    field_order = ("on", "is_not_normal", "note")


class TouchForm(CheckForm):
    method = Check.Method.ZAP.value
    is_not_normal = forms.BooleanField(required=False, label="It bites", help_text="Say where in the note.")
    field_order = ("on", "is_not_normal", "note")


CHECK_FORMS: dict[str, tuple[str, type[CheckForm]]] = {
    "looks": ("Looks and hardness", LooksForm),
    "titration": ("Titration in alcohol", TitrationForm),
    "ph": ("pH", PhForm),
    "zap": ("Tongue touch", TouchForm),
}


class ReleaseForm(forms.Form):
    words = forms.CharField(
        max_length=320,
        label="The release in a sentence",
        help_text="What it rests on: weights, tests, looks.",
        error_messages={"required": "Say in a sentence what the release rests on."},
    )
    best_before = forms.DateField(
        widget=day_box(), label="Best before", error_messages={"required": "Until when do the bars keep?"}
    )
    early_reason = forms.CharField(
        max_length=60,
        label="Why before the cure is over",
        help_text="It stays on the record, and the papers say from when the bars are best.",
        error_messages={"required": "Say why the bars are released early."},
    )

    def __init__(self, *args: Any, is_early: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not is_early:
            del self.fields["early_reason"]


class SentenceForm(forms.Form):
    words = forms.CharField(
        max_length=300, label="Why, in a sentence", error_messages={"required": "Say in a sentence why."}
    )
