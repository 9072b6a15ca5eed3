"""``formula_sheet``: from a file without a database, and from the shop."""

import json
from decimal import Decimal
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from formulas.models import Formula, FormulaLine, FormulaRevision, Material
from formulas.reference.load import load_reference
from formulas.reference.read import read_reference

OILS = (("Olive oil", 400, [187, 196]), ("Coconut oil", 300, [248, 265]), ("Palm oil", 300, [190, 209]))


def formula(**changes):
    """Return the worked formula: 40 % olive, 30 % coconut, 30 % palm."""
    return {
        "format": "soapshop-formula/1",
        "name": "Worked formula",
        "superfat_percent": 5,
        "oils": [{"material": name, "grams": grams, "sap_koh_mg_per_g": sap} for name, grams, sap in OILS],
        "alkali": [{"kind": "NaOH", "share_percent": 100, "purity_percent": 98, "purity_range_percent": [97, 99]}],
        "liquid": {"basis": "lye_concentration", "value": 33},
        **changes,
    }


def named_only(**changes):
    return formula(oils=[{"material": name, "grams": grams} for name, grams, _ in OILS], **changes)


@pytest.fixture
def sheet(tmp_path: Path):
    def run(content, *options: str) -> str:
        file = tmp_path / "formula.json"
        file.write_text(content if isinstance(content, str) else json.dumps(content), encoding="utf-8")
        printed = StringIO()
        call_command("formula_sheet", "--file", str(file), *options, stdout=printed)
        return printed.getvalue()

    return run


# Two scripts written apart from this program gave these figures for the worked formula.
WORKED = (
    ("alkali", "naoh_grams", 147.474, 0.001),
    ("water_grams", "", 299.416, 0.001),
    ("batch_grams", "", 1446.889, 0.001),
    ("superfat_percent", "lowest", 0.68, 0.01),
    ("superfat_percent", "highest", 9.04, 0.01),
    ("superfat_percent", "smallest_safe_plan", 4.35, 0.01),
    ("glycerin_grams", "", 110.923, 0.02),
    ("soap_grams", "", 983.601, 0.05),
    ("iodine_value", "", 51.32, 0.1),
    ("batter_density_g_per_ml", "", 1.0056, 0.003),
)


@pytest.mark.parametrize(("key", "inner", "expected", "within"), WORKED)
def test_the_worked_formula(sheet, key, inner, expected, within):
    figures = json.loads(sheet(formula(), "--json"))
    figure = figures[key][inner] if inner else figures[key]
    assert abs(figure - expected) <= within


def test_reference_figures_stand_in_where_the_file_has_none(sheet):
    """The plan is the same; the remembered lower end of olive oil, 184, reaches further down (worked by hand)."""
    figures = json.loads(sheet(named_only(), "--json"))
    assert round(figures["alkali"]["naoh_grams"], 3) == 147.474
    # Lowest demand 0.4 x 184 + 0.3 x 248 + 0.3 x 190 = 205 g KOH: 1 - 0.95 x 213.4 / 205 x 99 / 98.
    assert round(figures["superfat_percent"]["lowest"], 2) == 0.1


def test_goat_milk_for_the_water_comes_from_the_reference_data(sheet):
    """344.04 g milk, NaOH 149.703 g: a script written apart from this program."""
    figures = json.loads(sheet(named_only(liquids=[{"material": "Goat milk"}]), "--json"))
    assert [(line["material"], round(line["grams"], 2)) for line in figures["liquids"]] == [("Goat milk", 344.04)]
    assert round(figures["alkali"]["naoh_grams"], 3) == 149.703


def test_citric_acid_takes_its_lye_from_the_reference_data(sheet):
    """20 g anhydrous: weigh 160.219 g, by a script written apart from this program."""
    with_acid = named_only(additives=[{"material": "Citric acid (anhydrous)", "grams": 20}])
    assert abs(json.loads(sheet(with_acid, "--json"))["alkali"]["naoh_grams"] - 160.219) <= 0.001


def test_the_sheet_for_people(sheet):
    lines = sheet(formula()).splitlines()
    assert lines[:9] == [
        "Worked formula",
        "",
        "Oils",
        "  Olive oil                                    400.000  g",
        "  Coconut oil                                  300.000  g",
        "  Palm oil                                     300.000  g",
        "",
        "Lye, as weighed",
        "  Sodium hydroxide (NaOH)                      147.474  g",
    ]
    assert "  Lowest, if every figure is at its worst         0.68  %" in lines


def test_an_unknown_material_is_refused_with_its_mend(sheet):
    unknown = formula(oils=[{"material": "Moon dust oil", "grams": 100}])
    with pytest.raises(CommandError) as refused:
        sheet(unknown)
    assert refused.value.returncode == 2
    assert "Moon dust oil" in str(refused.value)
    assert str(refused.value).endswith('Give its SAP range, such as "sap_koh_mg_per_g": [187, 196].')


@pytest.mark.parametrize("content", ("{", "[]", "{}", '{"format": "soapshop-formula/1"}'))
def test_what_is_no_formula_is_refused(sheet, content):
    with pytest.raises(CommandError) as refused:
        sheet(content)
    assert refused.value.returncode == 2


def test_a_missing_file_is_refused():
    with pytest.raises(CommandError) as refused:
        call_command("formula_sheet", "--file", "nowhere.json")
    assert str(refused.value) == "nowhere.json cannot be read (No such file or directory). Check the name of the file."
    assert refused.value.returncode == 2


@pytest.mark.parametrize("arguments", ((), ("Name", "--file", "formula.json")))
def test_it_wants_a_name_or_a_file(arguments):
    with pytest.raises(CommandError) as refused:
        call_command("formula_sheet", *arguments)
    assert str(refused.value) == "Give the name of a formula, or --file and a formula file; one of the two."
    assert refused.value.returncode == 2


@pytest.fixture
def in_shop(workshop) -> FormulaRevision:
    """The worked formula in the shop, with its own figures for the three oils and the lye."""
    load_reference(reference=read_reference())
    Material.objects.filter(key="olive").update(sap_low=Decimal(187))
    Material.objects.filter(key="naoh").update(purity_low_percent=Decimal(97), purity_high_percent=Decimal(99))
    kept = Formula.objects.create(name="Worked formula")
    revision = FormulaRevision.objects.create(formula=kept, number=1)
    for key, stage, percent in (
        ("olive", "oils", 40),
        ("coconut", "oils", 30),
        ("palm", "oils", 30),
        ("naoh", "alkali", 100),
        ("water", "liquid", 100),
    ):
        material = Material.objects.get(key=key)
        FormulaLine.objects.create(revision=revision, material=material, stage=stage, percent=Decimal(percent))
    return revision


@pytest.mark.parametrize(("key", "inner", "expected", "within"), WORKED)
def test_the_worked_formula_from_the_shop(in_shop, key, inner, expected, within):
    printed = StringIO()
    call_command("formula_sheet", "worked FORMULA", "--json", stdout=printed)
    figures = json.loads(printed.getvalue())
    figure = figures[key][inner] if inner else figures[key]
    assert abs(figure - expected) <= within


def test_half_the_oils_take_half_the_lye(in_shop):
    printed = StringIO()
    call_command("formula_sheet", "Worked formula", "--revision", "1", "--oils-grams", "500", "--json", stdout=printed)
    assert round(json.loads(printed.getvalue())["alkali"]["naoh_grams"], 3) == 73.737


@pytest.mark.parametrize(
    ("arguments", "refusal"),
    (
        (("Nobody's bar",), "There is no formula “Nobody's bar”. Look it up on the Formulas page."),
        (("Worked formula", "--revision", "7"), "Worked formula does not have a revision 7. Look at its page."),
        (("Worked formula", "--oils-grams", "NaN"), "“NaN” is not a mass of oils. Give grams, such as 1000."),
        (("Worked formula", "--oils-grams", "-5"), "“-5” is not a mass of oils. Give grams, such as 1000."),
    ),
)
def test_what_the_shop_cannot_answer_is_refused(in_shop, arguments, refusal):
    with pytest.raises(CommandError) as refused:
        call_command("formula_sheet", *arguments)
    assert (str(refused.value), refused.value.returncode) == (refusal, 2)
