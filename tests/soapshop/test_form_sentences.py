"""What a form says when nothing was said about it: our sentence, never Django's."""

import pytest
from django import forms
from django.core.validators import MaxLengthValidator

from soapshop.models import NumberSeries, User


class EveryForm(forms.Form):
    text = forms.CharField(max_length=5, required=False)
    bars = forms.IntegerField(min_value=1, max_value=9, required=False)
    grams = forms.DecimalField(max_digits=5, decimal_places=2, required=False)
    day = forms.DateField(required=False)
    address = forms.EmailField(required=False)
    mold = forms.ChoiceField(choices=[("loaf", "Loaf")], required=False)
    oils = forms.MultipleChoiceField(choices=[("olive", "Olive")], required=False)
    person = forms.ModelChoiceField(User.objects.none(), required=False)


@pytest.mark.parametrize(
    ("box", "typed", "sentence"),
    (
        ("text", "lavender", "This is too long (8 characters). Shorten it to 5."),
        ("text", "a\x00b", "There is a character in it that no text holds. Type it anew."),
        ("bars", "a dozen", "Type a whole number, such as 12."),
        ("bars", "10", "This is too much. Type 9 or less."),
        ("bars", "0", "This is too little. Type 1 or more."),
        ("grams", "lots", "Type a number, such as 12.5."),
        ("grams", "NaN", "Type a number, such as 12.5."),
        ("grams", "1.234", "Type at most 2 digits after the point."),
        ("grams", "1234.5", "This number is too large. Type one with at most 3 digits before the point."),
        ("grams", "123456", "This number has too many digits. Type one with at most 5."),
        ("day", "soon", "Type a day as year, month, day: 2026-05-12."),
        ("address", "maud", "Type a whole e-mail address, such as maud@soap.example."),
        ("mold", "bucket", "“bucket” is not on the list. Choose from the list."),
        ("oils", ["tar"], "“tar” is not on the list. Choose from the list."),
        ("person", "7", "That is not on the list any more. Choose from the list."),
    ),
)
def test_each_kind_of_slip(db, box, typed, sentence):
    assert EveryForm({box: typed}).errors == {box: [sentence]}


def test_an_empty_box_that_must_be_filled():
    assert type("OneForm", (forms.Form,), {"name": forms.CharField()})({}).errors == {
        "name": ["This is still empty. Fill it in."]
    }


def test_a_sentence_of_the_fields_own_wins():
    name = forms.CharField(
        error_messages={"required": "Give the formula a name."}, validators=[MaxLengthValidator(3, "Three letters.")]
    )
    form = type("OneForm", (forms.Form,), {"name": name})
    assert (form({}).errors, form({"name": "Dune"}).errors) == (
        {"name": ["Give the formula a name."]},
        {"name": ["Three letters."]},
    )


def test_a_name_in_use_and_a_box_that_a_row_needs(db):
    class SeriesForm(forms.ModelForm):
        class Meta:
            model = NumberSeries
            fields = ("name", "last")

    NumberSeries.objects.create(name="order")
    assert SeriesForm({"name": "order", "last": ""}).errors == {
        "name": ["This is in use already. Choose another."],
        "last": ["This is still empty. Fill it in."],
    }
