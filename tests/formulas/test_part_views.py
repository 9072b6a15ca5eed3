"""The pages of parts made or bought ahead, through a signed-in client."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from formulas.models import Part
from soapshop.models import User
from tests.formulas.builders import fat, seal
from tests.formulas.test_formula_views import text_of

pytestmark = pytest.mark.django_db
NEW = "formulas:part-new"


def typed(*rows: tuple[str, str], **figures: str) -> dict[str, str]:
    data = {
        "name": "Leaf seal", "kind": "seal", "unit_grams": "2.5", "color_hex": "#8c6a3f", "attached_at": "cut",
        "attach_window_days": "2", "made_ahead_least_days": "1", "made_ahead_most_days": "90", "spare_percent": "10",
        "spare_least": "1", "minutes_per_piece": "2", "counts_as_contents": "on", "save": "1",
        "rows-TOTAL_FORMS": str(len(rows) + 1), "rows-INITIAL_FORMS": "0",
    }  # fmt: skip
    for place, (material, percent) in enumerate(rows):
        data |= {f"rows-{place}-material": material, f"rows-{place}-percent": percent}
    return data | figures


@pytest.fixture
def oils(owner: User) -> None:
    fat("Olive oil", "187", "191.5", "196", by=owner)
    fat("Palm oil", "190", "199.5", "209", by=owner)


def test_a_part_is_added_with_what_it_is_made_of(owner_client: Client, oils: None):
    response = owner_client.post(reverse(NEW), typed(("Olive oil", "70"), ("Palm oil", "30"), unit_grams="0.5 oz"))
    made = Part.objects.get()
    assert response.headers["Location"] == made.get_absolute_url()
    # Exact by definition of the avoirdupois ounce, to the milligram: half of 28.349523125 g.
    assert (made.key, made.unit_grams) == ("leaf-seal", Decimal("14.175"))
    assert [(row.material.name, row.percent) for row in made.ingredients.all()] == [
        ("Olive oil", Decimal(70)),
        ("Palm oil", Decimal(30)),
    ]
    assert owner_client.get(made.get_absolute_url()).status_code == 200


@pytest.mark.parametrize(
    ("rows", "figures", "sentence"),
    (
        ([("Olive oil", "70")], {}, "The ingredients add up to 70 %, not 100 %. Correct the shares."),
        ([("Olive oil", "50"), ("Olive oil", "50")], {}, "A material stands there twice."),
        ([("Olive oil", "150")], {}, "A share lies above 0 and at most 100 percent."),
        ([("Unknown oil", "100")], {}, "“Unknown oil” is not among your materials."),
        ([], {"unit_grams": "a pinch"}, "“a pinch” cannot be read as a weight."),
        ([], {"unit_grams": "0"}, "A piece weighs more than 0 g and at most 1 kg."),
        ([], {"unit_grams": ""}, "Weigh a piece and type it, such as 3.5 g."),
        ([], {"spare_percent": "-5"}, "Spares lie between 0 and 100 percent."),
        ([], {"made_ahead_least_days": "100"}, "The least days ahead cannot be more than the most."),
        ([], {"attach_window_days": "soon"}, "That is not a whole number. Type one such as 12."),
        ([], {"color_hex": "blue"}, "Give the color as # and six figures, such as #c9a227."),
        ([], {"kind": "wing"}, "That is not among the choices. Choose one of the list."),
    ),
)
def test_a_part_that_cannot_be_true_is_refused(
    owner_client: Client, oils: None, rows: list, figures: dict, sentence: str
):
    response = owner_client.post(reverse(NEW), typed(*rows, **figures))
    assert response.status_code == 200
    assert sentence in text_of(response)
    assert not Part.objects.exists()


def test_a_changed_part_keeps_its_short_key(owner_client: Client, owner: User, oils: None):
    part = seal(by=owner)
    url = reverse("formulas:part-edit", args=[part.pk])
    assert 'value="2.5 g"' in owner_client.get(url).content.decode()
    owner_client.post(url, typed(("Olive oil", "100"), name="Oak seal"))
    part.refresh_from_db()
    assert (part.name, part.key) == ("Oak seal", "leaf-seal")


def test_names_alike_get_keys_of_their_own(owner: User):
    assert [seal("Leaf seal", by=owner).key, seal("Leaf, seal", by=owner).key] == ["leaf-seal", "leaf-seal-2"]
    assert seal("Plain", by=owner).key == "plain-2"


def test_spares_are_shown_by_the_rule(owner_client: Client, owner: User):
    part = seal(by=owner, spare_percent=Decimal(10), spare_least=1)
    # Worked by hand: 10 % of 36 is 3.6, rounded up to 4.
    assert (36, 40) in owner_client.get(part.get_absolute_url()).context["spares"]


def test_more_rows_keep_what_was_typed(owner_client: Client, oils: None):
    response = owner_client.post(reverse(NEW), typed(("Olive oil", "70"), more="rows"))
    assert 'value="Olive oil"' in response.content.decode()
    assert not Part.objects.exists()


def test_the_list_reads_in_a_fixed_number_of_queries(owner_client: Client, owner: User, django_assert_num_queries):
    seal(by=owner)
    url = reverse("formulas:part-list")
    with django_assert_num_queries(4):
        owner_client.get(url)
    seal("Second", by=owner)
    seal("Third", by=owner)
    with django_assert_num_queries(4):
        owner_client.get(url)


def test_an_unknown_part_is_not_found(owner_client: Client):
    assert owner_client.get(reverse("formulas:part", args=[999])).status_code == 404


@pytest.mark.parametrize(
    ("kind", "percent", "least"), (("topper", "25", 2), ("seal", "10", 1)), ids=("fragile", "case-C57: a seal is not")
)
def test_spares_nobody_typed_follow_the_rule_of_the_kind(owner_client: Client, kind: str, percent: str, least: int):
    """Toppers 15 to 25 %, other pieces 10 %: common practice, no source."""
    owner_client.post(reverse(NEW), typed(kind=kind, spare_percent="", spare_least=""))
    made = Part.objects.get()
    assert (made.spare_percent, made.spare_least) == (Decimal(percent), least)
    owner_client.post(
        reverse("formulas:part-edit", args=[made.pk]), typed(kind=kind, spare_percent="7", spare_least="3")
    )
    made.refresh_from_db()
    assert (made.spare_percent, made.spare_least) == (7, 3)


def test_a_stamp_weighs_only_its_tint(owner_client: Client):
    """case-C56: only what tints the print is an ingredient; a stamp without a tint weighs nothing."""
    answer = owner_client.post(reverse(NEW), typed(kind="seal", unit_grams="0"))
    assert "A piece weighs more than 0 g" in text_of(answer)
    owner_client.post(reverse(NEW), typed(kind="stamp", unit_grams="0"))
    page = text_of(owner_client.get(Part.objects.get().get_absolute_url()))
    assert "Stamp on the face: 2 min of work on a bar." in page
