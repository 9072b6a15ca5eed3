"""What is agreed on an order as a whole: dates, hand-over, notes, and who it is for."""

from datetime import date, timedelta
from typing import Any

from django import forms

from formulas.forms.boxes import decimal_box
from orders.forms.boxes import DayField, OnceField, long_day
from orders.models import Customer, Order
from soapshop.models import Workshop


class TermsForm(forms.ModelForm):
    """Dates and hand-over. Without a needed-by day the event date less the usual days in hand stands."""

    event_date = DayField(required=False, label="Event date")
    needed_by = DayField(
        required=False, label="Needed in hand by", help_text="Left empty, it is counted back from the event."
    )

    class Meta:
        model = Order
        fields = ("occasion", "event_date", "needed_by", "hand_over", "travel_days", "note")
        widgets = {"travel_days": decimal_box("days"), "note": forms.Textarea(attrs={"rows": 2})}
        error_messages = {"travel_days": {"invalid": "Type a whole number of days, such as 3."}}

    def __init__(self, *args: Any, today: date, workshop: Workshop, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.workshop = workshop
        self.needed_before = self.instance.needed_by
        self.fields["travel_days"].required = False

    def clean_travel_days(self) -> int:
        return self.cleaned_data["travel_days"] or 0

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if "needed_by" in self.errors or "event_date" in self.errors:
            return cleaned
        needed, event = cleaned.get("needed_by"), cleaned.get("event_date")
        if needed is None and event is None:
            self.add_error("needed_by", "Give the day the bars are needed, or the day of the event.")
            return cleaned
        if needed is None and event is not None:
            needed = cleaned["needed_by"] = event - timedelta(days=self.workshop.in_hand_days)
        if needed is not None and needed < self.today and needed != self.needed_before:
            self.add_error("needed_by", f"{long_day(needed)} has passed. Give a day still to come.")
        elif event is not None and needed is not None and event < needed:
            self.add_error("event_date", "The event lies before the day the bars are needed. Check both days.")
        return cleaned

    @property
    def terms(self) -> dict[str, Any]:
        return {field: self.cleaned_data[field] for field in TermsForm.Meta.fields}


class ChangeTermsForm(TermsForm):
    """The same for an order in the book; it knows how often the order was changed when the page was opened."""

    seen_saves = forms.IntegerField(min_value=0, widget=forms.HiddenInput, required=False)


class NewOrderForm(TermsForm):
    customer = forms.ModelChoiceField(
        Customer.objects.all(), required=False, empty_label="New customer, named below", label="Customer"
    )
    new_customer = forms.CharField(max_length=120, required=False, label="New customer's name")
    new_email = forms.EmailField(required=False, label="New customer's e-mail")
    typed_once = OnceField()

    field_order = (
        "customer",
        "new_customer",
        "new_email",
        "occasion",
        "event_date",
        "needed_by",
        "hand_over",
        "travel_days",
        "note",
        "typed_once",
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        named = cleaned.get("new_customer", "").strip()
        if "customer" not in self.errors and bool(cleaned.get("customer")) == bool(named):
            both = "Choose a customer or name a new one, not both." if named else ""
            self.add_error("customer", both or "Choose the customer, or name a new one below.")
        return cleaned

    @property
    def chosen_customer(self) -> Customer:
        """The customer of the list, or a new one who is not in the book yet."""
        given = self.cleaned_data
        return given["customer"] or Customer(name=given["new_customer"].strip(), email=given["new_email"])


class ReasonForm(forms.Form):
    reason = forms.CharField(
        max_length=300, label="Why?", error_messages={"required": "Say in a few words why the order is cancelled."}
    )


class PromiseForm(forms.Form):
    day = DayField(label="Promised date", error_messages={"required": "Which day was promised?"})
