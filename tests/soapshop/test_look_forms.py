"""The one field template: label tied to its field, help and fault linked to it, the unit beside the number."""

from html.parser import HTMLParser

import pytest
from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout, Row, Submit
from crispy_forms.utils import render_crispy_form
from django import forms
from django.template import Context, Template


class Elements(HTMLParser):
    """The start tags of a piece of HTML, as (name, attributes)."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.found.append((tag, dict(attrs)))

    def only(self, tag: str, **wanted: str) -> dict[str, str | None]:
        matches = [
            attrs for name, attrs in self.found if name == tag and all(attrs.get(k) == v for k, v in wanted.items())
        ]
        assert len(matches) == 1, matches
        return matches[0]

    def count(self, tag: str) -> int:
        return sum(1 for name, _ in self.found if name == tag)


class PourForm(forms.Form):
    lye = forms.DecimalField(
        label="Lye", help_text="As weighed.", widget=forms.TextInput(attrs={"data-unit": "g", "inputmode": "decimal"})
    )
    notes = forms.CharField(required=False)
    kind = forms.ChoiceField(label="Kind", choices=[("loaf", "Loaf"), ("slab", "Slab")], widget=forms.RadioSelect)
    is_gift = forms.BooleanField(label="Wrap it", required=False)
    token = forms.CharField(widget=forms.HiddenInput, required=False)

    def clean(self):
        if self.cleaned_data.get("notes") == "no":
            raise forms.ValidationError("The pour has no day. Choose one.")
        return super().clean()


def rendered(form) -> str:
    return Template("{% load crispy_forms_tags %}{{ form|crispy }}").render(Context({"form": form}))


def test_each_label_names_its_field():
    page = Elements(rendered(PourForm()))
    assert page.only("label", **{"for": "id_lye"}) == {"for": "id_lye"}
    assert page.only("input", id="id_lye")["name"] == "lye"
    assert page.only("label", **{"for": "id_is_gift"}) == {"for": "id_is_gift"}
    assert page.count("legend") == 1


def test_help_is_linked_to_the_field():
    page = Elements(rendered(PourForm()))
    assert page.only("input", id="id_lye")["aria-describedby"] == "id_lye_helptext"
    assert page.only("div", id="id_lye_helptext")["class"] == "field-help"


def test_fault_is_linked_to_the_field_and_what_was_typed_stays():
    page = Elements(rendered(PourForm({"lye": "lots", "kind": "loaf"})))
    field = page.only("input", id="id_lye")
    assert (field["aria-describedby"], field["aria-invalid"], field["value"]) == (
        "id_lye_helptext id_lye_error",
        "true",
        "lots",
    )
    assert page.only("div", id="id_lye_error")["class"] == "field-error"


def test_a_field_without_fault_says_nothing_of_one():
    page = Elements(rendered(PourForm({"lye": "147.5", "kind": "loaf"})))
    assert "aria-invalid" not in page.only("input", id="id_lye")
    assert [attrs for _, attrs in page.found if attrs.get("class") in ("field-error", "error-summary")] == []


def test_fault_of_a_choice_is_linked_to_the_group():
    page = Elements(rendered(PourForm({"lye": "1"})))
    group = page.only("fieldset", id="div_id_kind")
    assert group["aria-describedby"] == "id_kind_error"
    assert page.only("div", id="id_kind_error")["class"] == "field-error"


def test_the_summary_leads_to_each_field():
    page = Elements(rendered(PourForm({"notes": "no"})))
    links = [attrs["href"] for name, attrs in page.found if name == "a"]
    assert links == ["#id_lye", "#div_id_kind"]
    assert page.only("div", role="alert")["class"] == "error-summary"
    assert "The pour has no day. Choose one." in rendered(PourForm({"notes": "no"}))


def test_the_unit_stands_beside_the_number_and_in_the_label():
    html = rendered(PourForm())
    assert '<span class="unit" aria-hidden="true">g</span>' in html
    assert 'Lye<span class="visually-hidden">, in g</span>' in html


def test_only_what_may_stay_empty_is_called_optional():
    assert rendered(PourForm()).count("(optional)") == 1


def test_a_hidden_field_has_no_label():
    page = Elements(rendered(PourForm()))
    assert page.only("input", id="id_token")["type"] == "hidden"
    assert [attrs for name, attrs in page.found if attrs.get("id") == "div_id_token"] == []


def test_a_layout_gives_groups_rows_and_the_next_action():
    form = PourForm()
    form.helper = FormHelper()
    form.helper.layout = Layout(Fieldset("Weigh", Row("lye", "notes")), "kind", "is_gift")
    form.helper.add_input(Submit("save", "Save"))
    form.helper.add_input(Submit("drop", "Throw away", css_class="danger"))
    page = Elements(render_crispy_form(form, context={"csrf_token": "abc"}))
    assert page.only("form")["method"] == "post"
    assert page.only("input", name="csrfmiddlewaretoken")["value"] == "abc"
    assert page.only("fieldset", **{"class": "field-group"}) == {"class": "field-group"}
    assert page.only("div", **{"class": "field-row"}) == {"class": "field-row"}
    assert page.only("button", name="save")["class"] == "button next"
    assert page.only("button", name="drop")["class"] == "button danger"


def test_a_form_that_reads_carries_no_token():
    form = PourForm()
    form.helper = FormHelper()
    form.helper.form_method = "get"
    page = Elements(render_crispy_form(form, context={"csrf_token": "abc"}))
    assert [attrs for _, attrs in page.found if attrs.get("name") == "csrfmiddlewaretoken"] == []


@pytest.fixture
def lines():
    return forms.formset_factory(PourForm, extra=0, can_delete=True)(
        {
            "form-TOTAL_FORMS": "2",
            "form-INITIAL_FORMS": "0",
            "form-0-lye": "100",
            "form-0-kind": "loaf",
            "form-1-lye": "lots",
            "form-1-kind": "loaf",
        }
    )


def test_rows_of_a_formset_are_one_table_with_a_label_in_each_cell(lines):
    html = Template('{% include "soap/formset_table.html" with formset=lines caption="Oils" %}').render(
        Context({"lines": lines})
    )
    page = Elements(html)
    assert page.only("table")["class"] == "ledger form-rows flows"
    assert page.count("tr") == 3
    assert page.only("label", **{"for": "id_form-1-lye"}) == {"for": "id_form-1-lye"}
    assert page.only("input", id="id_form-TOTAL_FORMS")["value"] == "2"
    assert [attrs["href"] for name, attrs in page.found if name == "a"] == ["#id_form-1-lye"]
    assert "Row 2," in html


def test_a_whole_formset_is_one_form(lines):
    html = Template("{% load crispy_forms_tags %}{% crispy lines helper %}").render(
        Context({"lines": lines, "helper": FormHelper(), "csrf_token": "abc"})
    )
    page = Elements(html)
    assert (page.count("form"), page.only("div", role="alert")["class"]) == (1, "error-summary")
    assert page.only("input", name="form-1-lye")["value"] == "lots"
