"""What is typed in the stores. Amounts come with their unit ("25 kg", "50 lb"); what was typed always stays."""

from datetime import date
from decimal import Decimal
from typing import Any
from uuid import uuid4

from django import forms

from formulas.forms.boxes import decimal_box
from formulas.models import Part
from production.stock.models import Supplier
from soapshop.quantity import QuantityRefused, mass_grams
from soapshop.units import round_grams

EARLIEST_DAY = date(2000, 1, 1)
LATEST_DAY = date(2099, 12, 31)
DAY_WANTED = {"invalid": "Type a day such as 2026-05-12."}
NUMBER_WANTED = {
    "invalid": "That is not a number. Type one such as 12.50.",
    "max_digits": "That number has too many digits. Check the decimal point.",
    "max_decimal_places": "That number has too many digits behind the point. Round it.",
    "max_whole_digits": "That number is far too large. Check the decimal point.",
    "min_value": "Less than nothing cannot be right. Check the number.",
}


class AmountField(forms.CharField):
    """A weight with its unit; cleans to exact grams. A bare number counts as grams where the form says so."""

    def __init__(self, *, default_unit: str = "", example: str = "25 kg or 50 lb", **kwargs: Any) -> None:
        attrs = {"autocomplete": "off", "class": "narrow", "placeholder": example}
        super().__init__(max_length=60, widget=forms.TextInput(attrs=attrs), **kwargs)
        self.default_unit = default_unit

    def clean(self, value: Any) -> Decimal | None:
        typed = super().clean(value)
        if not typed:
            return None
        try:
            return round_grams(mass_grams(typed, default_unit=self.default_unit))
        except QuantityRefused as refusal:
            raise forms.ValidationError(str(refusal)) from refusal


class DayField(forms.DateField):
    """A day of this century; a year with a slip in it is refused in a sentence."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("error_messages", {})
        kwargs["error_messages"] = {**DAY_WANTED, "required": "On which day?", **kwargs["error_messages"]}
        super().__init__(widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), **kwargs)

    def clean(self, value: Any) -> date | None:
        day = super().clean(value)
        if day is not None and not EARLIEST_DAY <= day <= LATEST_DAY:
            raise forms.ValidationError("That year cannot be right. Check the day.")
        return day


def money_field(label: str) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        required=False,
        min_value=Decimal(0),
        max_digits=12,
        decimal_places=2,
        widget=decimal_box(),
        error_messages=NUMBER_WANTED,
    )


def certificate_field(label: str, unit: str, **limits: Any) -> forms.DecimalField:
    return forms.DecimalField(
        label=label, required=False, widget=decimal_box(unit), error_messages=NUMBER_WANTED, **limits
    )


class ReasonForm(forms.Form):
    reason = forms.CharField(max_length=300, label="Why?", error_messages={"required": "Say in a few words why."})


class WeighBackForm(forms.Form):
    grams = AmountField(
        label="Left, without the tub",
        default_unit="gram",
        example="1,250 g",
        error_messages={"required": "What does the scale show? Type it, such as 1250 g."},
    )
    reason = forms.CharField(
        max_length=300, required=False, label="Why the count is off", help_text="Such as spilled, or left in the tub."
    )


class TakeOutForm(forms.Form):
    """Out of the house: thrown away, or back to the supplier."""

    HOW = (("waste", "Thrown away"), ("return", "Sent back to the supplier"))
    grams = AmountField(
        label="How much goes",
        default_unit="gram",
        example="500 g",
        error_messages={"required": "How much goes? Type it, such as 500 g."},
    )
    how = forms.ChoiceField(
        choices=HOW,
        label="Where to",
        error_messages={"required": "Where does it go? Choose one.", "invalid_choice": "Choose where it goes."},
    )
    reason = forms.CharField(max_length=300, label="Why?", error_messages={"required": "Say in a few words why."})
    typed_once = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["initial"] = {"typed_once": uuid4(), **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)


class UseByForm(forms.Form):
    expires_on = DayField(label="May be used until")
    reason = forms.CharField(
        max_length=300,
        label="What that rests on",
        help_text="Such as a smell test, or a new certificate.",
        error_messages={"required": "Say in a few words what the new day rests on."},
    )


class PartLotForm(forms.Form):
    """Pieces made here or bought."""

    part = forms.ModelChoiceField(
        Part.objects.exclude(kind=Part.Kind.STAMP),
        empty_label="Choose a part",
        error_messages={"required": "Which part is it? Choose one.", "invalid_choice": "Choose a part from the list."},
    )
    pieces = forms.IntegerField(
        min_value=1,
        max_value=100_000,
        widget=decimal_box("pieces"),
        error_messages={
            "required": "How many pieces are there? Count them.",
            "invalid": "Type a whole number of pieces, such as 40.",
            "min_value": "A lot has at least one piece.",
            "max_value": "That is more than 100,000 pieces. Check the number.",
        },
    )
    made_on = DayField(label="Made or received on")
    is_wrapped = forms.BooleanField(
        required=False,
        initial=True,
        label="Wrapped in film and closed up",
        help_text="Soap dough keeps three months wrapped, a day in open air.",
    )
    use_by = DayField(label="Use by", required=False, help_text="Empty: as pieces made here keep, wrapped or open.")
    note = forms.CharField(max_length=300, required=False, help_text="Such as from which batch of dough.")
    typed_once = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        kwargs["initial"] = {"made_on": today, "typed_once": uuid4(), **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_made_on(self) -> date:
        day: date = self.cleaned_data["made_on"]
        if day > self.today:
            raise forms.ValidationError("That day is still to come. Write the pieces down once they are here.")
        return day


class CountForm(forms.Form):
    pieces = forms.IntegerField(
        label="Pieces there",
        widget=decimal_box("pieces"),
        error_messages={"required": "Count the pieces.", "invalid": "Type a whole number of pieces, such as 40."},
    )
    reason = forms.CharField(
        max_length=300, required=False, label="Why the count is off", help_text="Such as broken, or given away."
    )


class LookForm(forms.Form):
    words = forms.CharField(
        max_length=300,
        label="How they are",
        help_text="Such as: soft, no sweat, smells fresh.",
        error_messages={"required": "Say in a few words how the pieces are."},
    )
    is_wrapped = forms.BooleanField(required=False, initial=True, label="Wrapped in film and closed up")


class SupplierForm(forms.ModelForm):
    lead_days = forms.IntegerField(
        required=False,
        min_value=0,
        max_value=365,
        label="Days from order to door",
        widget=decimal_box("days"),
        error_messages={
            "invalid": "Type a whole number of days, such as 9.",
            "min_value": "Type 0 or more days.",
            "max_value": "Type at most 365 days.",
        },
    )

    class Meta:
        model = Supplier
        fields = ("name", "contact", "lead_days")
        error_messages = {
            "name": {
                "required": "What is the supplier called?",
                "unique": "There is a supplier of this name. Change that one.",
            }
        }
