"""The pages of materials, through a signed-in client."""

import re
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from formulas.actions.materials import create_material
from formulas.models import Allergen, Material
from soapshop.models import AuditEvent, User
from tests.formulas.builders import colorant, fat, naoh, water
from tests.formulas.test_formula_views import text_of

pytestmark = pytest.mark.django_db
NEW = "formulas:material-new"


def test_the_list_is_narrowed_by_kind_and_words(owner_client: Client, owner: User):
    fat("Olive oil", "187", "191.5", "196", by=owner)
    fat("Palm oil", "190", "199.5", "209", by=owner)
    water(by=owner)
    url = reverse("formulas:material-list")

    def names(**asked: str) -> list[str]:
        return [material.name for material in owner_client.get(url, asked).context["page"].object_list]

    assert names() == ["Olive oil", "Palm oil", "Water"]
    assert names(kind="fat") == ["Olive oil", "Palm oil"]
    assert names(kind="fat", words="OIL pa") == ["Palm oil"]
    assert names(kind="nonsense", page="x", words="water") == ["Water"]


def test_a_material_no_longer_used_is_shown_on_request(owner_client: Client, owner: User):
    create_material(kind="liquid", figures={"name": "Old beer", "is_shelved": True}, by=owner)
    url = reverse("formulas:material-list")
    assert "Old beer" not in text_of(owner_client.get(url))
    assert "Old beer" in text_of(owner_client.get(url, {"shelved": "on"}))


def test_the_list_reads_in_a_fixed_number_of_queries(owner_client: Client, owner: User, django_assert_num_queries):
    water(by=owner)
    url = reverse("formulas:material-list")
    with django_assert_num_queries(6):
        owner_client.get(url)
    naoh(by=owner)
    colorant("Moss green", by=owner)
    with django_assert_num_queries(6):
        owner_client.get(url)


def test_own_soap_is_made_not_entered_as_a_material(owner_client: Client):
    owner_client.post(reverse(NEW), {"kind": "soap", "name": "Offcuts"})
    assert not Material.objects.exists()


@pytest.mark.parametrize("kind", [kind for kind in Material.Kind.values if kind != "soap"])
def test_each_kind_has_a_form_and_a_page(owner_client: Client, kind: str):
    assert owner_client.get(reverse(NEW), {"kind": kind}).status_code == 200
    data = {"kind": kind, "name": f"A {kind}", "alkali_kind": "NaOH", "color_hex": "#aabbcc", "gives_glycerol": "on"}
    response = owner_client.post(reverse(NEW), data)
    made = Material.objects.get(kind=kind)
    assert response.headers["Location"] == made.get_absolute_url()
    assert owner_client.get(made.get_absolute_url()).status_code == 200


def test_a_figure_left_empty_stays_unknown(owner_client: Client):
    owner_client.post(reverse(NEW), {"kind": "fat", "name": "Meadow butter", "gives_glycerol": "on"})
    made = Material.objects.get()
    assert (made.sap_plan, made.iodine_value, made.density_g_per_ml) == (None, None, None)
    assert "4 figures are not known." in text_of(owner_client.get(made.get_absolute_url()))


def test_a_range_is_planned_in_its_middle(owner_client: Client):
    # Worked by hand: the middle of 190 and 200.
    owner_client.post(reverse(NEW), {"kind": "fat", "name": "Oil", "sap_low": "190", "sap_high": "200"})
    assert Material.objects.get().sap_plan == Decimal(195)


def test_a_planned_figure_alone_is_its_own_range(owner_client: Client):
    owner_client.post(reverse(NEW), {"kind": "fat", "name": "Oil", "sap_plan": "190"})
    made = Material.objects.get()
    assert (made.sap_low, made.sap_plan, made.sap_high) == (Decimal(190), Decimal(190), Decimal(190))


@pytest.mark.parametrize(
    ("figures", "sentence"),
    (
        ({"sap_plan": "0.134"}, "0.134 looks like grams of alkali per gram of fat, not mg KOH per g."),
        ({"sap_plan": "1900"}, "no fat has a SAP value of 1900 mg KOH per g."),
        ({"sap_low": "200", "sap_plan": "195", "sap_high": "190"}, "the SAP range is upside down"),
        ({"sap_low": "190"}, "A range has two ends. Type this one too, or the planned figure alone."),
        ({"sap_plan": "many"}, "That is not a number. Type one such as 12.5."),
        ({"sap_plan": "1" * 40}, "That number has too many digits. Check the decimal point."),
        ({"iodine_value": "900"}, "the iodine value is not plausible."),
        ({"density_g_per_ml": "9.2", "sap_plan": "190"}, "a fat does not have this density."),
        ({"fatty_acids": "lauric 48"}, "“lauric” is not a fatty acid known here. Write 12:0, 18:1 and the like."),
        ({"fatty_acids": "12:0 lots"}, "“12:0 lots” cannot be read. Write a line such as 12:0 48."),
        ({"name": ""}, "This is still empty. Type it."),
    ),
)
def test_a_fat_that_cannot_be_true_is_refused_and_kept(owner_client: Client, figures: dict, sentence: str):
    data = {"kind": "fat", "name": "Odd oil", "sap_plan": "190", "gives_glycerol": "on"}
    if "sap_low" in figures:
        data.pop("sap_plan")
    response = owner_client.post(reverse(NEW), data | figures)
    assert response.status_code == 200
    assert sentence in text_of(response)
    for entry in figures.values():
        assert entry in response.content.decode()
    assert not Material.objects.exists()


@pytest.mark.parametrize(
    ("kind", "figures", "sentence"),
    (
        ("alkali", {"alkali_kind": ""}, "Nothing is chosen yet. Choose one."),
        ("alkali", {"alkali_kind": "NaOH", "purity_percent": "0.98"}, "Type percent, such as 98, not a fraction"),
        ("alkali", {"alkali_kind": "NaOH", "purity_percent": "105"}, "Nothing is purer than 100 %."),
        ("liquid", {"water_percent": "5"}, "brings too little water to dissolve alkali."),
        ("liquid", {"water_percent": "88", "fat_percent": "4"}, "but its SAP value is not known."),
        ("acid", {"alkali_demand_g_naoh_per_g": "62"}, "it cannot take up that much alkali."),
        ("colorant", {"dose_low_percent": "3", "dose_high_percent": "1"}, "runs from the lower to the higher figure."),
    ),
)
def test_other_kinds_have_their_gates(owner_client: Client, kind: str, figures: dict, sentence: str):
    response = owner_client.post(reverse(NEW), {"kind": kind, "name": "Odd", "color_hex": "#aabbcc"} | figures)
    assert sentence in text_of(response)
    assert not Material.objects.exists()


def test_a_kind_nobody_knows_leads_to_the_choice(owner_client: Client):
    assert "What kind is it?" in text_of(owner_client.get(reverse(NEW), {"kind": "poison"}))
    assert "What kind is it?" in text_of(owner_client.post(reverse(NEW), {"kind": "poison", "name": "X"}))


def test_a_name_stands_in_the_book_once(owner_client: Client, owner: User):
    water(by=owner)
    response = owner_client.post(reverse(NEW), {"kind": "liquid", "name": "WATER"})
    assert "There is a material" in text_of(response)
    assert Material.objects.count() == 1


def test_a_change_is_written_down_with_before_and_after(owner_client: Client, owner: User):
    oil = fat("Olive oil", "187", "191.5", "196", by=owner)
    url = reverse("formulas:material-edit", args=[oil.pk])
    page = owner_client.get(url).content.decode()
    assert 'value="191.5"' in page
    data = {
        "kind": "fat", "name": "Olive oil", "sap_low": "188", "sap_plan": "191.5", "sap_high": "196",
        "density_g_per_ml": "0.905", "gives_glycerol": "on",
    }  # fmt: skip
    owner_client.post(url, data)
    event = AuditEvent.objects.get(verb="save_material")
    assert (event.before, event.after) == ({"sap_low": "187.000"}, {"sap_low": "188"})


def test_names_are_confirmed_and_a_changed_name_is_open_again(owner_client: Client, owner: User):
    oil = fat("Olive oil", "187", "191.5", "196", by=owner)
    url = reverse("formulas:material-confirm-names", args=[oil.pk])
    refused = owner_client.post(url, follow=True)
    assert "Olive oil has no name for the label yet. Enter it, then confirm it." in text_of(refused)
    edit = reverse("formulas:material-edit", args=[oil.pk])
    data = {"name": "Olive oil", "sap_plan": "191.5", "gives_glycerol": "on", "label_name_us": "Olive Oil"}
    owner_client.post(edit, data)
    owner_client.post(url)
    oil.refresh_from_db()
    assert oil.has_confirmed_names
    owner_client.post(edit, data | {"note": "smells of grass"})
    oil.refresh_from_db()
    assert oil.has_confirmed_names
    owner_client.post(edit, data | {"label_name_us": "Oil of Olive"})
    oil.refresh_from_db()
    assert not oil.has_confirmed_names
    assert owner_client.get(url).status_code == 405


# ── Allergens ────────────────────────────────────────────────────────────────────────────────────────────────────────
@pytest.fixture
def scent(owner: User) -> Material:
    Allergen.objects.create(entry="1", name="Linalool")
    Allergen.objects.create(entry="2", name="Limonene")
    return create_material(kind="fragrance", figures={"name": "Harbor mist"}, by=owner)


def rows(*pairs: tuple[str, str], **more: str) -> dict[str, str]:
    data = {"rows-TOTAL_FORMS": str(len(pairs) + 1), "rows-INITIAL_FORMS": "0", "save": "1"}
    for place, (name, percent) in enumerate(pairs):
        data |= {f"rows-{place}-allergen": name, f"rows-{place}-percent": percent}
    return data | more


def test_a_statement_is_entered_and_shown(owner_client: Client, scent: Material):
    url = reverse("formulas:material-allergens", args=[scent.pk])
    assert "The allergens are not known" in text_of(owner_client.get(scent.get_absolute_url()))
    owner_client.post(url, rows(("linalool", "12.5"), ("Limonene", "0"), is_entered="on", source="Sheet 7"))
    scent.refresh_from_db()
    shares = {share.allergen.name: share.share_percent for share in scent.allergen_shares.all()}
    assert shares == {"Limonene": Decimal(0), "Linalool": Decimal("12.5")}
    assert scent.has_allergen_statement
    assert "The allergens are not known" not in text_of(owner_client.get(scent.get_absolute_url()))
    assert 'value="12.5"' in owner_client.get(url).content.decode()


@pytest.mark.parametrize(
    ("entry", "sentence"),
    (
        ([("Lina", "3")], "“Lina” is not in the list of allergens. Did you mean Linalool?"),
        ([("Linalool", "")], "How much of it? Type the highest percent the statement gives."),
        ([("Linalool", "-1")], "A share lies between 0 and 100 percent."),
        ([("Linalool", "some")], "That is not a number. Type one such as 12.5."),
        ([("", "3")], "Which one?"),
        ([("Linalool", "60"), ("Limonene", "60")], "The shares add up to 120 %, more than the whole."),
        ([("Linalool", "1"), ("linalool", "2")], "An allergen stands there twice."),
    ),
)
def test_a_statement_that_cannot_be_true_is_refused(owner_client: Client, scent: Material, entry: list, sentence: str):
    response = owner_client.post(reverse("formulas:material-allergens", args=[scent.pk]), rows(*entry))
    assert sentence in text_of(response)
    assert not scent.allergen_shares.exists()


def test_more_rows_of_allergens_keep_what_was_typed(owner_client: Client, scent: Material):
    data = rows(("Linalool", "3"), more="rows")
    page = owner_client.post(reverse("formulas:material-allergens", args=[scent.pk]), data).content.decode()
    assert 'value="Linalool"' in page
    assert re.search(r'name="rows-TOTAL_FORMS" value="7"', page)
    assert not scent.allergen_shares.exists()


@pytest.mark.parametrize("name", ("material", "material-edit", "material-allergens"))
def test_an_unknown_material_is_not_found(owner_client: Client, name: str):
    assert owner_client.get(reverse(f"formulas:{name}", args=[999])).status_code == 404
    assert owner_client.get(f"/materials/{'9' * 30}/").status_code == 404
