"""The pages of a formula, through a signed-in client."""

import re
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from formulas.actions.materials import create_material
from formulas.actions.revisions import LineDraft
from formulas.models import Formula, FormulaRevision
from soapshop.models import User
from tests.formulas.builders import approved_formula, draft_formula, fat, loaf, naoh, reference_lines, water

pytestmark = pytest.mark.django_db


def text_of(response) -> str:
    """Return the page as a person reads it: no markup, one space between words."""
    bare = re.sub(r"<[^>]+>", " ", response.content.decode())
    return " ".join(bare.replace("&nbsp;", " ").replace("&#x27;", "'").split())


def typed(lines: dict[str, list[tuple[str, ...]]] | None = None, **figures: str) -> dict[str, str]:
    """What a browser sends from the formula form."""
    data = {
        "name": "Harbor bar",
        "superfat_percent": "5",
        "liquid_basis": "lye_concentration",
        "liquid_value": "33",
        "weighing_error_percent": "0",
        "cure_days": "42",
        "least_cure_days": "28",
        "save": "1",
    }
    lists = {"oils": [], "alkali": [("Sodium hydroxide", "100")], "liquid": [("Water", "100")], "extras": []}
    for key, rows in (lists | (lines or {})).items():
        data |= {f"{key}-TOTAL_FORMS": str(len(rows) + 1), f"{key}-INITIAL_FORMS": "0"}
        for place, row in enumerate(rows):
            for box, entry in zip(("material", "percent", "stage"), row, strict=False):
                data[f"{key}-{place}-{box}"] = entry
    return data | figures


@pytest.fixture
def shelf(owner: User) -> list:
    return reference_lines(by=owner)


OILS = {"oils": [("Olive oil", "40"), ("coconut oil", "30"), ("Palm oil", "30")]}


# Worked formula of the issue list and of tests/formulas/test_chemistry_worked_examples.py, worked by hand there.
@pytest.mark.parametrize(
    "expected",
    ("147.474 g", "299.416 g", "0.68 %", "9.04 %", "Smallest plan that cannot turn lye-heavy 4.35 %"),
)
def test_a_formula_page_shows_the_worked_figures(owner_client: Client, owner: User, expected: str):
    revision = draft_formula(by=owner)
    page = text_of(owner_client.get(revision.get_absolute_url()))
    assert expected in page


def test_the_batch_of_the_worked_formula_is_shown_to_the_milligram(owner_client: Client, owner: User):
    revision = draft_formula(by=owner)
    page = text_of(owner_client.get(revision.get_absolute_url()))
    shown = Decimal(re.search(r"batch ?([0-9,.]+) g|([0-9,.]+) g batch", page).group(2).replace(",", ""))
    assert abs(shown - Decimal("1446.889")) <= Decimal("0.001")


def test_the_superfat_is_drawn_with_the_shops_floor(owner_client: Client, owner: User):
    page = owner_client.get(draft_formula(by=owner).get_absolute_url()).content.decode()
    assert "<title>Superfat, planned 5 %</title>" in page
    assert "floor 2 %" in page
    assert "&lt;svg" not in page


def test_a_formula_is_written_and_shown(owner_client: Client, shelf: list):
    response = owner_client.post(reverse("formulas:formula-new"), typed(OILS), follow=True)
    made = FormulaRevision.objects.get()
    assert response.redirect_chain[-1][0] == made.get_absolute_url()
    assert [(line.material.name, line.percent) for line in made.lines.filter(stage="oils")] == [
        ("Olive oil", Decimal(40)),
        ("Coconut oil", Decimal(30)),
        ("Palm oil", Decimal(30)),
    ]


@pytest.mark.parametrize(
    ("entry", "sentence"),
    (
        ({"oils": [("Olive oil", "abc")]}, "That is not a number. Type one such as 12.5."),
        ({"oils": [("Olive oil", "-5")]}, "A share lies above 0 and at most 200 percent."),
        ({"oils": [("Olive oil", "9" * 30)]}, "That number has too many digits. Check the decimal point."),
        ({"oils": [("Olive oil", "NaN")]}, "That is not a number. Type one such as 12.5."),
        ({"oils": [("Olive oil", "1e400")]}, "That number has too many digits. Check the decimal point."),
        ({"oils": [("Olive oil", "")]}, "How much of it? Type its percent, or clear the line."),
        ({"oils": [("", "40")]}, "Name the material of this share."),
        ({"oils": [("Olive juice", "40")]}, "“Olive juice” is not among your materials. Did you mean Olive oil?"),
        ({"oils": [("Water", "40")]}, "Water is kept as “liquid” and does not belong in this list."),
        (
            {"oils": [("Olive oil", "40"), ("olive oil", "60")]},
            "Olive oil stands there twice. Add the shares up in one line.",
        ),
    ),
)
def test_a_line_that_cannot_be_true_is_refused_and_kept(owner_client: Client, shelf: list, entry: dict, sentence: str):
    response = owner_client.post(reverse("formulas:formula-new"), typed(entry))
    assert response.status_code == 200
    assert sentence in text_of(response)
    for row in entry["oils"]:
        for box in row:
            assert f'value="{box}"' in response.content.decode() or not box
    assert not Formula.objects.exists()


@pytest.mark.parametrize(
    ("figures", "sentence"),
    (
        ({"superfat_percent": "five"}, "That is not a number. Type one such as 12.5."),
        ({"superfat_percent": ""}, "This is still empty. Type a number such as 12."),
        ({"cure_days": "4.5"}, "That is not a whole number. Type one such as 12."),
        ({"liquid_value": "0"}, "The liquid figure must be above 0. Lye needs liquid to dissolve in."),
        ({"least_cure_days": "60"}, "The least cure cannot be longer than the cure."),
        ({"name": " "}, "Give the formula a name."),
    ),
)
def test_figures_that_cannot_be_true_are_refused(owner_client: Client, shelf: list, figures: dict, sentence: str):
    response = owner_client.post(reverse("formulas:formula-new"), typed(OILS, **figures))
    assert sentence in text_of(response)
    assert not Formula.objects.exists()


def test_nothing_at_all_is_no_server_error(owner_client: Client):
    response = owner_client.post(reverse("formulas:formula-new"), {"save": "1"})
    assert response.status_code == 200


def test_a_name_is_taken_once(owner_client: Client, owner: User, shelf: list):
    draft_formula("Harbor bar", by=owner, lines=shelf)
    response = owner_client.post(reverse("formulas:formula-new"), typed(OILS, name="harbor BAR"))
    assert "There is a formula of this name. Revise that one, or choose another name." in text_of(response)


@pytest.mark.parametrize(
    ("lines", "sentence"),
    (
        ({"oils": []}, "This formula has no oils yet. Add at least one oil, then calculate again."),
        (
            {"oils": [("Olive oil", "40"), ("Palm oil", "50")]},
            "The oils add up to 90 %, not 100 %. Add 10 points, then calculate again.",
        ),
        (
            {"oils": [("Olive oil", "70"), ("Palm oil", "50")]},
            "The oils add up to 120 %, not 100 %. Take 20 points away, then calculate again.",
        ),
        (OILS | {"alkali": []}, "This formula has no alkali. Choose NaOH, KOH or both."),
        (
            OILS | {"liquid": [("Water", "90")]},
            "The shares of the liquids add up to 90 %, not 100 %. Make the shares add up to 100.",
        ),
    ),
)
def test_calculate_says_what_stops_a_formula(owner_client: Client, shelf: list, lines: dict, sentence: str):
    data = typed(lines)
    del data["save"]
    response = owner_client.post(reverse("formulas:formula-new"), data | {"calculate": "1"})
    assert sentence in text_of(response)
    assert not Formula.objects.exists()


def test_an_oil_of_unknown_sap_stops_the_formula(owner_client: Client, owner: User, shelf: list):
    create_material(kind="fat", figures={"name": "Meadow butter"}, by=owner)
    data = typed({"oils": [("Meadow butter", "100")]})
    del data["save"]
    response = owner_client.post(reverse("formulas:formula-new"), data)
    assert "The SAP of Meadow butter is not known, so its lye cannot be reckoned." in text_of(response)


def test_a_recalculation_answers_with_the_figures_alone_and_marks_what_changed(owner_client: Client, shelf: list):
    data = typed(OILS, superfat_percent="6")
    del data["save"]
    was = "superfat=5.000 naoh=147.474 water=299.416 batch=1446.890"
    response = owner_client.post(reverse("formulas:formula-new"), data | {"was": was}, headers={"HX-Request": "true"})
    page = response.content.decode()
    assert "<html" not in page
    assert page.count('<mark class="changed">') == 4
    unchanged = owner_client.post(
        reverse("formulas:formula-new"),
        data | {"superfat_percent": "5", "was": was},
        headers={"HX-Request": "true"},
    )
    assert '<mark class="changed">' not in unchanged.content.decode()


def test_a_recalculation_that_cannot_be_read_says_where(owner_client: Client, shelf: list):
    data = typed({"oils": [("Olive oil", "forty")]})
    del data["save"]
    response = owner_client.post(reverse("formulas:formula-new"), data, headers={"HX-Request": "true"})
    assert "Oils, row 1: Percent: That is not a number. Type one such as 12.5." in text_of(response)


def test_more_rows_keep_what_was_typed(owner_client: Client, shelf: list):
    data = typed({"oils": [("Olive oil", "40")]}) | {"more": "oils"}
    del data["save"]
    page = owner_client.post(reverse("formulas:formula-new"), data).content.decode()
    assert 'value="Olive oil"' in page
    assert 'name="oils-TOTAL_FORMS" value="4"' in page
    assert 'name="alkali-TOTAL_FORMS" value="2"' in page


# ── Sizes ────────────────────────────────────────────────────────────────────────────────────────────────────────────
def test_so_much_oil_scales_every_line(owner_client: Client, owner: User):
    # Worked by hand: twice 147.474 g is 294.948 g.
    revision = draft_formula(by=owner)
    page = text_of(owner_client.get(revision.get_absolute_url(), {"oils": "2 kg"}))
    assert "294.948 g" in page or "294.947 g" in page
    assert "Weigh-out for 2,000 g of oils" in page


@pytest.mark.parametrize(
    ("asked", "sentence"),
    (
        ({"oils": "much"}, "“much” cannot be read as a weight. Type it like this: 12.5 g or 1 lb 4 oz."),
        ({"oils": "-3 kg"}, "“-3 kg” is less than nothing. Type a weight of 0 or more."),
        ({"oils": "1 g"}, "Give the oils between 50 g and 100 kg. Shown below is 1 kg."),
        ({"mold": "99"}, "That mold is not in the book. Choose one from the list."),
        ({"mold": "x"}, "That mold is not in the book. Choose one from the list."),
        ({"bars": "0", "cured": "110 g"}, "How many bars? Type a whole number from 1 to 10,000."),
        ({"bars": "a dozen", "cured": "110 g"}, "How many bars? Type a whole number from 1 to 10,000."),
        ({"bars": "12"}, "Nothing was typed. Type an amount, such as 12.5 g or 1 lb 4 oz."),
        ({"bars": "9000", "cured": "1 kg"}, "A batch here has between 50 g and 100 kg of oils."),
    ),
)
def test_a_size_that_cannot_be_read_is_said(owner_client: Client, owner: User, asked: dict, sentence: str):
    response = owner_client.get(draft_formula(by=owner).get_absolute_url(), asked)
    assert response.status_code == 200
    assert sentence in text_of(response)
    assert "Weigh-out for 1,000 g of oils" in text_of(response)


def test_a_mold_is_filled_to_its_headroom(owner_client: Client, owner: User):
    revision, mold = draft_formula(by=owner), loaf(by=owner)
    page = owner_client.get(revision.get_absolute_url(), {"mold": mold.pk, "molds": "2"})
    plan = page.context["page"].size.plan
    # Worked by hand: 254 × 89 × 70 mm is 1582.42 ml; two, 2.5 % empty, take 3085.719 ml.
    assert round(plan.batter_ml, 4) == Decimal("3085.719")
    assert "To fill 2 × Ten-inch loaf: 20 bars before trimming." in text_of(page)


def test_bars_of_a_cured_weight_keep_oils_batter_and_bars_apart(owner_client: Client, owner: User):
    revision = draft_formula(by=owner)
    size = owner_client.get(revision.get_absolute_url(), {"bars": "12", "cured": "110 g"}).context["page"].size
    assert round(size.cured_grams, 6) == Decimal(1320)  # worked by hand: 12 × 110 g
    assert size.plan.oils_grams < size.cured_grams < size.plan.batter_grams


# ── Drafts, approval, history ────────────────────────────────────────────────────────────────────────────────────────
def test_two_people_cannot_save_over_each_other(owner_client: Client, maker_client: Client, owner: User, shelf: list):
    draft = draft_formula("Harbor bar", by=owner, lines=shelf)
    url = reverse("formulas:revision-edit", args=[draft.formula_id, draft.number])
    first = owner_client.post(url, typed(OILS, superfat_percent="6", seen_saves="0"))
    second = maker_client.post(url, typed(OILS, superfat_percent="7", seen_saves="0"))
    assert first.status_code == 302
    assert "Somebody saved this draft after you opened it." in text_of(second)
    assert 'value="7"' in second.content.decode()
    draft.refresh_from_db()
    assert (draft.superfat_percent, draft.saves) == (Decimal(6), 1)


def test_an_approved_revision_cannot_be_changed_by_its_page(owner_client: Client, owner: User):
    frozen = approved_formula(by=owner)
    url = reverse("formulas:revision-edit", args=[frozen.formula_id, frozen.number])
    looked = owner_client.get(url, follow=True)
    posted = owner_client.post(url, typed(OILS, superfat_percent="9", seen_saves="0"))
    assert "Recipe R, revision 1 stays as it is. Make a new revision to change it." in text_of(looked)
    assert "Recipe R, revision 1 is approved and stays as it is." in text_of(posted)
    frozen.refresh_from_db()
    assert frozen.superfat_percent == Decimal(5)
    assert frozen.lines.filter(stage="oils").count() == 3


def test_a_revision_begins_with_a_reason(owner_client: Client, owner: User):
    frozen = approved_formula(by=owner)
    url = reverse("formulas:formula-revise", args=[frozen.formula_id])
    refused = owner_client.post(url, {"reason": " "}, follow=True)
    assert "Say in a few words why the formula changes" in text_of(refused)
    owner_client.post(url, {"reason": "Less coconut"})
    assert FormulaRevision.objects.get(number=2).reason == "Less coconut"
    again = owner_client.post(url, {"reason": "Once more"}, follow=True)
    assert "Recipe R has a draft already. Edit that draft, or approve it first." in text_of(again)


def test_only_an_owner_approves(maker_client: Client, owner: User):
    draft = draft_formula(by=owner)
    url = reverse("formulas:revision-approve", args=[draft.formula_id, draft.number])
    response = maker_client.post(url, {"override_reason": "I am sure"})
    assert "Only an owner approves a formula. Ask the owner to look at this draft." in text_of(response)
    draft.refresh_from_db()
    assert draft.is_draft


def test_an_open_question_needs_a_reason(owner_client: Client, owner: User):
    draft = draft_formula(by=owner, superfat_percent=Decimal(3))
    url = reverse("formulas:revision-approve", args=[draft.formula_id, draft.number])
    refused = owner_client.post(url, {"override_reason": ""})
    assert "Or write down why you approve it all the same." in text_of(refused)
    owner_client.post(url, {"override_reason": "Certificate on file"})
    draft.refresh_from_db()
    assert (draft.is_approved, draft.override_reason) == (True, "Certificate on file")


def test_what_stops_a_formula_cannot_be_approved_with_a_reason(owner_client: Client, owner: User, shelf: list):
    draft = draft_formula(by=owner, lines=[line for line in shelf if line.stage != "alkali"])
    url = reverse("formulas:revision-approve", args=[draft.formula_id, draft.number])
    response = owner_client.post(url, {"override_reason": "I want it"})
    assert "This formula has no alkali." in text_of(response)
    draft.refresh_from_db()
    assert draft.is_draft


def test_approving_the_next_revision_retires_the_last(owner_client: Client, owner: User):
    first = approved_formula(by=owner)
    owner_client.post(reverse("formulas:formula-revise", args=[first.formula_id]), {"reason": "More palm"})
    url = reverse("formulas:revision-approve", args=[first.formula_id, 2])
    owner_client.post(url, {"override_reason": "Tried"})
    assert list(FormulaRevision.objects.order_by("number").values_list("status", flat=True)) == ["retired", "approved"]
    compared = owner_client.get(reverse("formulas:revision-compare", args=[first.formula_id, 2, 1]))
    assert compared.status_code == 200


def test_a_revision_is_retired_once(owner_client: Client, owner: User):
    frozen = approved_formula(by=owner)
    url = reverse("formulas:revision-retire", args=[frozen.formula_id, frozen.number])
    owner_client.post(url)
    again = owner_client.post(url, follow=True)
    assert "Recipe R, revision 1 is not approved, so there is nothing to retire." in text_of(again)


@pytest.mark.parametrize("path", ("/formulas/999/", "/formulas/999/1/", "/formulas/999/1/edit/"))
def test_an_unknown_formula_is_not_found(owner_client: Client, path: str):
    assert owner_client.get(path).status_code == 404


def test_the_list_reads_in_a_fixed_number_of_queries(owner_client: Client, owner: User, django_assert_num_queries):
    shelf = reference_lines(by=owner)
    draft_formula("One", by=owner, lines=shelf)
    url = reverse("formulas:formula-list")
    owner_client.get(url)
    with django_assert_num_queries(5):
        owner_client.get(url)
    draft_formula("Two", by=owner, lines=shelf)
    draft_formula("Three", by=owner, lines=shelf)
    with django_assert_num_queries(5):
        owner_client.get(url)


def test_a_formula_page_reads_few_queries(owner_client: Client, owner: User, django_assert_max_num_queries):
    revision = draft_formula(by=owner)
    with django_assert_max_num_queries(12):
        owner_client.get(revision.get_absolute_url())


def test_what_a_person_typed_is_shown_as_text(owner_client: Client, owner: User):
    lines = [
        LineDraft(fat("<i>Oil</i>", "187", "191.5", "196", by=owner), "oils", Decimal(100)),
        LineDraft(naoh(by=owner), "alkali", Decimal(100)),
        LineDraft(water(by=owner), "liquid", Decimal(100)),
    ]
    revision = draft_formula("<b>Bold</b>", by=owner, lines=lines)
    page = owner_client.get(revision.get_absolute_url()).content.decode()
    assert "<b>Bold</b>" not in page
    assert "<i>Oil</i>" not in page
    assert "&lt;b&gt;Bold&lt;/b&gt;" in page
