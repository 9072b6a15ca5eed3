from django import forms
from django.test.html import parse_html

from soapshop.widgets import LongSelect

CHOICES = [("a", "Anchorage"), ("b", "Berlin"), ("<c>", "C & D")]


class PlaceForm(forms.Form):
    place = forms.ChoiceField(choices=CHOICES, widget=LongSelect(attrs={"class": "narrow"}))


def test_a_long_list_reads_like_any_other():
    class UsualForm(forms.Form):
        place = forms.ChoiceField(choices=CHOICES, widget=forms.Select(attrs={"class": "narrow"}))

    for typed in (None, {"place": "b"}, {"place": "<c>"}, {"place": "nowhere"}):
        ours, usual = (str(form(typed)["place"]) for form in (PlaceForm, UsualForm))
        assert parse_html(ours) == parse_html(usual)


def test_a_list_that_need_not_be_filled_shows_no_choice():
    assert "selected" not in str(PlaceForm()["place"])
