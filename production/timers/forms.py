"""What is typed to start a timer."""

from django import forms

from orders.forms.boxes import OnceField
from production.timers.models import LONGEST_MINUTES

USUAL = ("Lye cools", "Blending", "Gel", "In the mold")
MINUTES_WANTED = {
    "invalid": "Type a whole number of minutes, such as 45.",
    "min_value": "A timer runs at least a minute.",
    "max_value": "A timer runs at most a week.",
}


class TimerForm(forms.Form):
    usual = USUAL
    what = forms.CharField(
        max_length=60,
        label="What runs",
        widget=forms.TextInput(attrs={"list": "timed", "autocomplete": "off"}),
        error_messages={"required": "What is timed? Type a few words, such as lye cools."},
    )
    minutes = forms.IntegerField(
        required=False,
        min_value=1,
        max_value=LONGEST_MINUTES,
        label="Due after",
        widget=forms.TextInput(
            attrs={"inputmode": "numeric", "class": "narrow", "data-unit": "min", "autocomplete": "off"}
        ),
        error_messages=MINUTES_WANTED,
    )
    typed_once = OnceField()
