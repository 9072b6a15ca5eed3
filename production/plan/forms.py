"""Forms of the work calendar and of the plan."""

from decimal import Decimal
from typing import Any

from django import forms

from formulas.models import Design
from production.plan.models import OrderWeight, TimeAway, WorkWeek
from production.planning.calendar import WEEKDAY_NAMES

DAY_INPUT = {"type": "date"}


def _day_field(label: str, missing: str) -> forms.DateField:
    return forms.DateField(
        label=label,
        widget=forms.DateInput(attrs=DAY_INPUT, format="%Y-%m-%d"),
        error_messages={"required": missing, "invalid": "Give the day as 2026-12-24."},
    )


def _count(label: str, unit: str, *, least: int = 0, most: int = 100_000) -> forms.IntegerField:
    return forms.IntegerField(
        label=label,
        min_value=least,
        max_value=most,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "class": "narrow", "data-unit": unit}),
        error_messages={
            "required": "Give a whole number; 0 is a number too." if not least else "Give a whole number.",
            "invalid": "Give a whole number, in figures only.",
            "min_value": f"The least is {least}.",
            "max_value": f"The most is {most:,}.",
        },
    )


class WorkWeekForm(forms.ModelForm):
    shipping_weekdays = forms.TypedMultipleChoiceField(
        label="Days you hand over or post",
        choices=list(enumerate(WEEKDAY_NAMES)),
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None ticked means any open day.",
    )

    class Meta:
        model = WorkWeek
        fields = (
            *(name.lower() for name in WEEKDAY_NAMES),
            "makers",
            "pours_per_maker",
            "rack_bars",
            "pot_liters",
            "buffer_days",
            "hold_days",
            "shipping_weekdays",
        )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in WEEKDAY_NAMES:
            self.fields[name.lower()] = _count(name, "min", most=1440)
        self.fields["makers"] = _count("People who pour", "", least=1, most=20)
        self.fields["pours_per_maker"] = _count("Pours one person can do a day", "", least=1, most=20)
        self.fields["rack_bars"] = _count("Bars the rack holds", "bars", least=1)
        self.fields["pot_liters"] = forms.DecimalField(
            label="Batter your largest pot takes",
            required=False,
            min_value=Decimal("0.1"),
            max_digits=6,
            decimal_places=2,
            help_text="Or what you can lift. Leave it empty when a pour is limited by the molds alone.",
            widget=forms.TextInput(attrs={"inputmode": "decimal", "class": "narrow", "data-unit": "L"}),
            error_messages={"invalid": "Give the liters as a number, such as 8.5.", "min_value": "The least is 0.1."},
        )
        self.fields["buffer_days"] = _count("Air before an order is due", "days", most=60)
        self.fields["hold_days"] = _count("A promised date is held for", "days", least=1, most=90)


class ProposeForm(forms.Form):
    """How long the search may take, in seconds."""

    seconds = forms.TypedChoiceField(
        label="Time for the search",
        choices=((10, "10 seconds"), (30, "30 seconds"), (120, "2 minutes")),
        coerce=int,
        initial=10,
    )


class PourDayForm(forms.Form):
    pour_on = _day_field("Pour on", "Give the day of the pour.")


class OrderWeightForm(forms.Form):
    weight_in_plan = forms.TypedChoiceField(
        label="In a plan, a late day of this order counts", choices=OrderWeight.Weight.choices, coerce=int
    )

    @property
    def weight(self) -> OrderWeight.Weight:
        return OrderWeight.Weight(self.cleaned_data["weight_in_plan"])


class PromiseForm(forms.Form):
    design = forms.ModelChoiceField(
        Design.objects.filter(is_shelved=False),
        error_messages={"required": "Choose a design.", "invalid_choice": "Choose a design from the list."},
    )
    bars = _count("Bars", "bars", least=1, most=5000)
    travel_days = _count("Days on the way", "days", most=90)
    wanted_on = forms.DateField(
        label="Wanted in hand on",
        required=False,
        help_text="To see the last day to pour for it, such as the first day of a market.",
        widget=forms.DateInput(attrs=DAY_INPUT, format="%Y-%m-%d"),
        error_messages={"invalid": "Give the day as 2026-12-24."},
    )
    may_move = forms.BooleanField(label="Look also at moving other batches (takes some seconds)", required=False)


class TimeAwayForm(forms.ModelForm):
    first_on = _day_field("First day away", "Give the first day on which nobody works.")
    last_on = _day_field("Last day away", "Give the last day on which nobody works.")

    class Meta:
        model = TimeAway
        fields = ("first_on", "last_on", "reason")


class SpecialDayForm(forms.Form):
    day = _day_field("Day", "Give the day that differs.")
    minutes = _count("Minutes at the bench", "min", most=1440)
    note = forms.CharField(max_length=80, required=False)
