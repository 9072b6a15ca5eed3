"""What a form says about a slip, in a shop's words: Django's own sentences are replaced once, for every form.

A form that knows more says more: `error_messages` on a field still wins over what stands here.
"""

from django import forms
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.core import validators
from django.db import models

REQUIRED = "This is still empty. Fill it in."
TOO_LONG = "This is too long (%(show_value)d characters). Shorten it to %(limit_value)d."
TAKEN = "This is in use already. Choose another."

FORM_FIELDS: dict[type[forms.Field], dict[str, str]] = {
    forms.Field: {"required": REQUIRED},
    forms.IntegerField: {"invalid": "Type a whole number, such as 12."},
    forms.FloatField: {"invalid": "Type a number, such as 12.5."},
    forms.DecimalField: {"invalid": "Type a number, such as 12.5."},
    forms.DateField: {"invalid": "Type a day as year, month, day: 2026-05-12."},
    forms.DateTimeField: {"invalid": "Type a day and a time: 2026-05-12 14:30."},
    forms.TimeField: {"invalid": "Type a time: 14:30."},
    forms.URLField: {"invalid": "Type a web address, such as https://soap.example."},
    forms.UUIDField: {"invalid": "This page has lost its number. Load it afresh, then enter it once more."},
    forms.FileField: {
        "invalid": "The file did not arrive. Choose it once more.",
        "missing": "The file did not arrive. Choose it once more.",
        "empty": "This file is empty. Choose another.",
    },
    forms.ChoiceField: {"invalid_choice": "“%(value)s” is not on the list. Choose from the list."},
    forms.MultipleChoiceField: {
        "invalid_choice": "“%(value)s” is not on the list. Choose from the list.",
        "invalid_list": "Choose from the list.",
    },
    forms.ModelChoiceField: {"invalid_choice": "That is not on the list any more. Choose from the list."},
    forms.ModelMultipleChoiceField: {
        "invalid_choice": "“%(value)s” is not on the list any more. Choose from the list.",
        "invalid_list": "Choose from the list.",
        "invalid_pk_value": "“%(pk)s” is not on the list. Choose from the list.",
    },
}
MODEL_FIELDS = {
    "invalid_choice": "“%(value)s” is not on the list. Choose from the list.",
    "null": REQUIRED,
    "blank": REQUIRED,
    "unique": TAKEN,
}
VALIDATORS: dict[type, str] = {
    validators.MaxValueValidator: "This is too much. Type %(limit_value)s or less.",
    validators.MinValueValidator: "This is too little. Type %(limit_value)s or more.",
    validators.MaxLengthValidator: TOO_LONG,
    validators.MinLengthValidator: "This is too short. Type at least %(limit_value)d characters.",
    validators.EmailValidator: "Type a whole e-mail address, such as maud@soap.example.",
    validators.ProhibitNullCharactersValidator: "There is a character in it that no text holds. Type it anew.",
    UnicodeUsernameValidator: "A sign-in name takes letters, digits and @ . + - _ only. Leave out spaces and the rest.",
}
# A database column with so many places takes no more; the form says so before.
DECIMALS = {
    "invalid": "Type a number, such as 12.5.",
    "max_digits": "This number has too many digits. Type one with at most %(max)s.",
    "max_decimal_places": "Type at most %(max)s digits after the point.",
    "max_whole_digits": "This number is too large. Type one with at most %(max)s digits before the point.",
}


def speak_plainly() -> None:
    """Put these sentences in the place of Django's. Called once, before any form is made."""
    for field, sentences in FORM_FIELDS.items():
        field.default_error_messages = {**field.default_error_messages, **sentences}
    models.Field.default_error_messages = {**models.Field.default_error_messages, **MODEL_FIELDS}
    for validator, sentence in VALIDATORS.items():
        validator.message = sentence  # type: ignore[attr-defined]
    validators.DecimalValidator.messages = {**validators.DecimalValidator.messages, **DECIMALS}
