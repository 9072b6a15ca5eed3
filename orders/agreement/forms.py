from django import forms

from orders.forms.boxes import DayField, OnceField


class ToldForm(forms.Form):
    name = forms.CharField(max_length=120, label="Who approved it?")


class LinkForm(forms.Form):
    expires_on = DayField(required=False, label="Open until", help_text="Empty: 60 days from today.")


class RepeatForm(forms.Form):
    needed_by = DayField(
        label="Needed in hand by",
        error_messages={"required": "By which day are the bars needed?", "invalid": "Type a day."},
    )
    typed_once = OnceField()
