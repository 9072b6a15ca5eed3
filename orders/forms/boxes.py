"""Boxes that several forms share."""

from datetime import date
from typing import Any
from uuid import uuid4

from django import forms

from orders.models import FIRST_YEAR, LAST_YEAR

LONGEST_KEY = 18  # digits that fit a 64-bit column


def day_box() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class DayField(forms.DateField):
    """A day that a workshop could mean; a year typed wrong is asked about, not counted with."""

    widget = forms.DateInput

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("widget", day_box())
        super().__init__(**kwargs)

    def clean(self, value: Any) -> date | None:
        day = super().clean(value)
        if day is not None and not FIRST_YEAR <= day.year <= LAST_YEAR:
            raise forms.ValidationError(f"The year {day.year} cannot be right. Check the day.")
        return day


class OnceField(forms.UUIDField):
    """A number that each opened form carries, so that sending it twice has one effect."""

    def __init__(self) -> None:
        super().__init__(widget=forms.HiddenInput, required=False, initial=uuid4)


class ManyField(forms.ModelMultipleChoiceField):
    """Several rows of a list. A number that no row can have is refused here; SQLite itself stumbles over it."""

    def clean(self, value: Any) -> Any:
        for key in value or ():
            if len(str(key)) > LONGEST_KEY:
                raise forms.ValidationError(self.error_messages["invalid_pk_value"], params={"pk": key})
        return super().clean(value)


def long_day(day: date) -> str:
    return f"{day:%b} {day.day}, {day.year}"
