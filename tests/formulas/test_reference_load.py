"""Loading: once, again, after an update of the tables, and around what a person changed."""

import json
from dataclasses import replace
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from formulas.models import Allergen, Material
from formulas.reference.load import Outcome, load_reference
from formulas.reference.read import read_reference
from formulas.reference.rows import MaterialRow, Reference

pytestmark = pytest.mark.django_db

OLIVE = MaterialRow(
    key="olive",
    name="Olive oil",
    kind="fat",
    sap_low=Decimal(184),
    sap_plan=Decimal("191.5"),
    sap_high=Decimal(196),
    iodine_value=Decimal("83.9"),
    fatty_acids_percent={"18:1": "74.25"},
    avoid_groups=("fruit",),
    note="From the tables.",
)


def load(*rows: MaterialRow):
    return load_reference(reference=Reference(rows, ()))


def outcome_of(report, name: str = "Olive oil") -> Outcome:
    return next(outcome for outcome, names in report.materials.items() if name in names)


def test_all_reference_data_is_loaded():
    report = load_reference(reference=read_reference())
    assert len(report.materials[Outcome.MADE]) == Material.objects.count() == 193
    assert len(report.allergens[Outcome.MADE]) == Allergen.objects.count() == 83


def test_every_loaded_material_would_pass_its_own_form():
    load_reference(reference=read_reference())
    for material in Material.objects.all():
        material.full_clean()


def test_a_second_run_changes_nothing():
    load_reference(reference=read_reference())
    before = list(Material.objects.order_by("pk").values())
    report = load_reference(reference=read_reference())
    assert len(report.materials[Outcome.UNCHANGED]) == 193
    assert len(report.allergens[Outcome.UNCHANGED]) == 83
    assert list(Material.objects.order_by("pk").values()) == before


def test_a_new_figure_in_the_tables_arrives():
    load(OLIVE)
    report = load(replace(OLIVE, iodine_value=Decimal(84)))
    assert outcome_of(report) == Outcome.UPDATED
    assert Material.objects.get(key="olive").iodine_value == Decimal(84)


def test_what_a_person_changed_survives_an_update():
    load(OLIVE)
    Material.objects.filter(key="olive").update(iodine_value=Decimal(80), note="Our own words.")
    report = load(replace(OLIVE, iodine_value=Decimal(84), note="New words.", avoid_groups=()))
    olive = Material.objects.get(key="olive")
    assert outcome_of(report) == Outcome.UPDATED
    assert report.kept_fields == {"Olive oil": ("iodine_value", "note")}
    assert (olive.iodine_value, olive.note, olive.avoid_groups) == (Decimal(80), "Our own words.", [])


def test_a_change_is_kept_run_after_run():
    load(OLIVE)
    Material.objects.filter(key="olive").update(note="Our own words.")
    assert [outcome_of(load(OLIVE)) for _ in range(2)] == [Outcome.KEPT, Outcome.KEPT]
    assert Material.objects.get(key="olive").note == "Our own words."


def test_figures_that_belong_together_stay_together():
    """A person narrowed the SAP to a certificate; a new range must not come to lie across it."""
    load(OLIVE)
    Material.objects.filter(key="olive").update(sap_plan=Decimal(190))
    load(replace(OLIVE, sap_low=Decimal(191), sap_plan=Decimal(192), sap_high=Decimal(193)))
    olive = Material.objects.get(key="olive")
    assert (olive.sap_low, olive.sap_plan, olive.sap_high) == (Decimal(184), Decimal(190), Decimal(196))


def test_a_person_who_comes_to_the_same_figure_is_no_obstacle():
    load(OLIVE)
    Material.objects.filter(key="olive").update(iodine_value=Decimal(84))
    assert outcome_of(load(replace(OLIVE, iodine_value=Decimal(84)))) == Outcome.UNCHANGED


def test_a_material_that_a_person_made_is_never_touched():
    own = Material.objects.create(name="OLIVE OIL", kind="fat", note="From our neighbor's press.")
    report = load(OLIVE)
    assert outcome_of(report) == Outcome.NOT_OURS
    own.refresh_from_db()
    assert (own.note, own.key, own.sap_plan, Material.objects.count()) == ("From our neighbor's press.", None, None, 1)


def test_a_material_of_another_name_is_no_obstacle():
    Material.objects.create(name="Olive oil, ours", kind="fat")
    assert outcome_of(load(OLIVE)) == Outcome.MADE


def test_a_new_name_in_the_tables_does_not_collide_with_a_person_s_own():
    load(OLIVE)
    Material.objects.create(name="Virgin olive oil", kind="fat")
    report = load(replace(OLIVE, name="Virgin olive oil"))
    assert report.kept_fields == {"Olive oil": ("name",)}
    assert Material.objects.get(key="olive").name == "Olive oil"


def test_no_name_counts_as_confirmed():
    load_reference(reference=read_reference())
    assert not Material.objects.filter(has_confirmed_names=True).exists()


def test_the_command_prints_counts():
    printed = StringIO()
    call_command("load_reference", "--json", stdout=printed)
    assert json.loads(printed.getvalue()) == {
        "materials": {"made": 193, "updated": 0, "kept": 0, "unchanged": 0, "not_ours": 0},
        "allergens": {"made": 83, "updated": 0, "kept": 0, "unchanged": 0, "not_ours": 0},
        "kept_fields": {},
        "not_ours": [],
    }


def test_the_command_tells_people_what_it_left_alone():
    Material.objects.create(name="Olive oil", kind="fat")
    printed = StringIO()
    call_command("load_reference", stdout=printed)
    assert printed.getvalue() == (
        "Materials: 192 new, 1 left alone, your own of the same name.\n"
        "Allergens: 83 new.\n"
        "  Olive oil: you have a material of this name already; it was not touched.\n"
    )


def test_a_bad_table_loads_nothing(tmp_path):
    with pytest.raises(CommandError) as refused:
        call_command("load_reference", folder=tmp_path)
    assert str(refused.value) == f"Nothing was loaded. sources.csv is missing in {tmp_path}. Put the table back."
    assert (refused.value.returncode, Material.objects.count()) == (2, 0)
