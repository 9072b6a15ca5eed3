"""What a person types about who answers in a market, about a safety report and about the logo."""

from decimal import Decimal

from django import forms

from production.labels.models import Assessment, MarketPerson
from production.labels.present import NEEDS_A_REPORT
from soapshop.photo_forms import PhotoBox

DAY = "Give a day, such as 2026-07-20."


class PersonForm(forms.Form):
    market = forms.ChoiceField(choices=MarketPerson.Market.choices, widget=forms.HiddenInput)
    name = forms.CharField(
        label="Name",
        max_length=120,
        error_messages={
            "required": "Give the name as it stands on the label.",
            "max_length": "Keep it to 120 letters.",
        },
    )
    address = forms.CharField(
        label="Address",
        max_length=300,
        help_text="With commas between the lines.",
        error_messages={
            "required": "Give the address as it stands on the label.",
            "max_length": "Keep it to 300 letters.",
        },
    )
    origin = forms.CharField(
        label="Country of origin",
        max_length=60,
        required=False,
        help_text="Such as “Made in USA”; empty if the bars are made in this market.",
        error_messages={"max_length": "Keep it to 60 letters."},
    )


class LogoForm(forms.Form):
    photo = PhotoBox(label="Logo", help_text="JPEG, PNG or WebP, at most 20 MB. Dark on white prints best.")


class AssessmentForm(forms.Form):
    market = forms.ChoiceField(
        label="Market", choices=[(key, MarketPerson.Market(key).label) for key in NEEDS_A_REPORT]
    )
    assessor = forms.CharField(label="Assessor", max_length=120, error_messages={"required": "Who signed the report?"})
    report = forms.CharField(
        label="Number of the report", max_length=80, error_messages={"required": "Give its number or title."}
    )
    assessed_on = forms.DateField(
        label="Day of the report",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"required": DAY, "invalid": DAY},
    )
    revision_number = forms.IntegerField(
        label="Revision of the formula",
        min_value=1,
        max_value=9999,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "class": "narrow", "autocomplete": "off"}),
        error_messages={
            "required": "Which revision was assessed?",
            "invalid": "Type a whole number, such as 2.",
            "min_value": "Revisions begin at 1.",
            "max_value": "There is no such revision.",
        },
    )
    most_scent_percent = forms.DecimalField(
        label="Most scent",
        required=False,
        min_value=Decimal(0),
        max_value=Decimal(100),
        max_digits=6,
        decimal_places=3,
        help_text="Empty where the report names no figure.",
        widget=forms.TextInput(
            attrs={"inputmode": "decimal", "class": "narrow", "autocomplete": "off", "data-unit": "%"}
        ),
        error_messages={
            "invalid": "Type a percentage, such as 3.2.",
            "min_value": "Type a percentage from 0 to 100.",
            "max_value": "Type a percentage from 0 to 100.",
            "max_decimal_places": "Three decimals are enough.",
            "max_digits": "Three decimals are enough.",
        },
    )
    share_of = forms.ChoiceField(label="Measured as a share", choices=Assessment.ShareOf.choices)
