"""One action, its refusal, its message, the next page."""

import pytest
from django import forms
from django.contrib.messages.storage.fallback import FallbackStorage
from django.test import RequestFactory

from soapshop.acting import act_on, press


class Refused(Exception):
    pass


class WordForm(forms.Form):
    word = forms.CharField()


def asked():
    request = RequestFactory().post("/")
    request.session = {}
    request._messages = FallbackStorage(request)
    return request


def said(request) -> list[str]:
    return [str(message) for message in request._messages]


def refuse():
    raise Refused("The tub is empty. Open another.")


def test_an_action_that_goes_through_leads_on_with_its_words():
    request, done = asked(), []
    answer = act_on(
        request, WordForm({"word": "olive"}), lambda: done.append(1) or "/next/", refusal=Refused, done="Done."
    )
    assert (answer.status_code, answer["Location"], done, said(request)) == (302, "/next/", [1], ["Done."])


def test_the_words_may_speak_of_what_came_of_it():
    request = asked()
    act_on(request, WordForm({"word": "x"}), lambda: 7, refusal=Refused, done=lambda bars: f"{bars} bars.", to="/rack/")
    assert said(request) == ["7 bars."]


def test_a_refusal_stays_on_the_form_and_so_does_what_was_typed():
    request, form = asked(), WordForm({"word": "olive"})
    assert act_on(request, form, refuse, refusal=Refused, done="Done.", to="/next/") is None
    assert form.non_field_errors() == ["The tub is empty. Open another."]
    assert (form["word"].value(), said(request)) == ("olive", [])


@pytest.mark.parametrize("form", [WordForm({"word": ""}), WordForm()], ids=["faulty", "not sent"])
def test_a_form_that_is_not_in_order_does_nothing(form: WordForm):
    assert act_on(asked(), form, refuse, refusal=Refused, to="/next/") is None


def test_an_error_that_is_no_refusal_is_not_hidden():
    with pytest.raises(ZeroDivisionError):
        act_on(asked(), WordForm({"word": "x"}), lambda: 1 / 0, refusal=Refused, to="/next/")


def test_a_button_says_on_the_next_page_what_it_refuses():
    request = asked()
    answer = press(request, refuse, refusal=Refused, done="Done.", to="/lot/")
    assert (answer["Location"], said(request)) == ("/lot/", ["The tub is empty. Open another."])


def test_a_button_that_goes_through_says_so():
    request = asked()
    answer = press(request, lambda: None, refusal=Refused, done="Done.", to="/lot/")
    assert (answer["Location"], said(request)) == ("/lot/", ["Done."])
