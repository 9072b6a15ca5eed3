"""The tables themselves: how many rows, each with its source, and a wrong cell refused by file and line."""

import csv
import shutil
from pathlib import Path

import pytest

from formulas.label_rules.allergens import packaged_allergens
from formulas.label_rules.colors import listing_for, packaged_colors
from formulas.reference.allergens import is_cas_number
from formulas.reference.read import FIXTURES, read_reference
from formulas.reference.tables import ReferenceDataError

# Counted in the collection the tables were made from.
ROWS = {
    "oils.csv": 92,
    "fatty_acids.csv": 40,
    "fatty_acid_limits.csv": 35,
    "liquids.csv": 35,
    "additives.csv": 39,
    "alkalis.csv": 2,
    "allergens.csv": 83,
}
SOURCE_COLUMNS = {"oils.csv": ("sap_seen_source", "recalled_source", "density_source")}


def rows_of(file: str) -> list[dict[str, str]]:
    with (FIXTURES / file).open(encoding="utf-8", newline="") as opened:
        return list(csv.DictReader(opened))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the tables to spoil."""
    shutil.copytree(FIXTURES, tmp_path / "tables")
    return tmp_path / "tables"


def spoil(folder: Path, file: str, old: str, new: str) -> int:
    """Replace the first place where ``old`` stands, and return its line."""
    text = (folder / file).read_text(encoding="utf-8")
    assert old in text
    (folder / file).write_text(text.replace(old, new, 1), encoding="utf-8")
    return text[: text.index(old)].count("\n") + 1


@pytest.mark.parametrize(("file", "count"), ROWS.items())
def test_no_row_got_lost(file, count):
    assert len(rows_of(file)) == count


@pytest.mark.parametrize("file", [path.name for path in sorted(FIXTURES.glob("*.csv")) if path.name != "sources.csv"])
def test_every_row_names_a_source_that_is_listed(file):
    listed = {row["code"] for row in rows_of("sources.csv")}
    for row in rows_of(file):
        codes = {row[column] for column in SOURCE_COLUMNS.get(file, ("source",)) if row[column]}
        if file == "oils.csv" and not codes:
            codes = {row["sap_from_make_up"] and "USDA18"}
        assert codes, row
        assert codes <= listed, row


def test_every_source_has_a_title_and_says_how_it_was_seen():
    assert all(row["title"] and row["how_seen"] for row in rows_of("sources.csv"))


def test_every_material_says_where_it_comes_from_and_how_sure():
    assert [row.name for row in read_reference().materials if not row.source or not row.source_status] == []


def test_every_fat_has_a_sap():
    assert [row.name for row in read_reference().materials if row.kind == "fat" and row.sap_plan is None] == []


def test_allergens_agree_with_the_rules_for_labels():
    ours = {(row.entry, row.name, row.is_prohibited) for row in read_reference().allergens}
    assert ours == {(rule.entry, rule.name, rule.is_prohibited) for rule in packaged_allergens()}


def test_81_allergens_are_named_and_2_prohibited():
    """Regulation (EU) 2023/1545: 24 older and 57 newer names; two of the first 26 are prohibited."""
    prohibited = [row.is_prohibited for row in read_reference().allergens]
    assert (prohibited.count(False), prohibited.count(True)) == (81, 2)


def test_listed_colors_stand_on_the_us_list():
    listed = packaged_colors()
    colors = [row for row in read_reference().materials if row.us_color_listing]
    assert [row.name for row in colors if listing_for(row.us_color_listing, listed) is None] == []


def test_listed_colors_carry_the_number_of_the_list():
    """The numbers agree where a listed color has one number; iron oxides have three."""
    listed = packaged_colors()
    for row in read_reference().materials:
        if row.us_color_listing and row.color_index:
            numbers = listing_for(row.us_color_listing, listed).ci_numbers
            assert {number.strip() for number in row.color_index.split(";")} <= {n.split(" (")[0] for n in numbers}


@pytest.mark.parametrize(
    ("file", "old", "new", "refusal"),
    (
        pytest.param(
            "oils.csv",
            "no,87,104",
            "no,0.087,104",
            "“sap_seen_low” is 0.087. It must lie between 40 and 360. Was a factor in g/g typed? Multiply it by 1,000.",
            id="a factor in g/g",
        ),
        pytest.param(
            "oils.csv",
            "248,265,seen",
            "265,248,seen",
            "“sap_seen” runs from 265 down to 248. Put the lower figure first.",
            id="a range upside down",
        ),
        pytest.param(
            "oils.csv",
            "248,265,seen",
            "248,,seen",
            "“sap_seen” has one end only. Give both ends, the same figure twice if there is one.",
            id="half a range",
        ),
        pytest.param(
            "oils.csv",
            "seen,CXS210,,",
            "seen,CXS999,,",
            "The source “CXS999” is not in sources.csv. Add it there, or correct the code.",
            id="a source nobody knows",
        ),
        pytest.param(
            "oils.csv",
            "0.891,0.899,50/20",
            "0.891,0.899,warm",
            "“warm” does not say at which temperatures the density was taken. Write oil/water in C, such as 40/20, "
            "with water at one of 4, 15, 20, 25, 30; or solid in density_taken_at.",
            id="a density without temperatures",
        ),
        pytest.param(
            "fatty_acids.csv",
            "47.4",
            "4.74",
            "The fatty acids add up to 57.34 %. They must make 100 %.",
            id="fatty acids that do not add up",
        ),
        pytest.param(
            "liquids.csv",
            "87.03",
            "8703",
            "“water” is 8703. It must lie between 0 and 100.",
            id="more water than all",
        ),
        pytest.param(
            "liquids.csv",
            "88.32,3.25",
            "98.32,3.25",
            "Water, fat, carbohydrate, protein and alcohol add up to 109.31 %. They cannot pass 100 %.",
            id="a liquid of more than 100 %",
        ),
        pytest.param(
            "additives.csv",
            "0.62455",
            "much",
            "“much” in “alkali_demand_g_naoh_per_g” is not a number. Type one such as 12.5, or leave it empty.",
            id="a word for a number",
        ),
        pytest.param(
            "alkalis.csv",
            "98,common practice",
            "94,common practice",
            "The purities run 95.0, 94, 100. They must rise: lowest, planned, highest.",
            id="purities out of order",
        ),
        pytest.param(
            "colorants.csv",
            ",CI 77891,#",
            ",77891,#",
            "“77891” is not a color index number. Write CI and five figures, such as CI 77891.",
            id="a color number without CI",
        ),
        pytest.param(
            "soap_names.csv",
            "\nolive,",
            "\nolivv,",
            "There is no material “olivv”. Add it to its table, or correct the key.",
            id="names for no material",
        ),
        pytest.param(
            "allergens.csv",
            "100-51-6",
            "100-51-7",
            "“100-51-7” is not a CAS number. Look for a digit typed wrong: its last one must check.",
            id="a CAS number with a wrong digit",
        ),
        pytest.param(
            "alkalis.csv",
            "\nkoh,",
            "\nnaoh,",
            "“naoh” stands on line 2 already. Keep one of the two.",
            id="a key twice",
        ),
    ),
)
def test_a_wrong_cell_is_refused_by_its_line(folder, file, old, new, refusal):
    line = spoil(folder, file, old, new) + old.startswith("\n")
    with pytest.raises(ReferenceDataError) as caught:
        read_reference(folder)
    assert str(caught.value) == f"{file}, line {line}: {refusal}"


def test_a_row_with_a_cell_too_many_is_refused(folder):
    line = spoil(folder, "alkalis.csv", "\nkoh,", "\nkoh,,") + 1
    with pytest.raises(ReferenceDataError) as caught:
        read_reference(folder)
    assert str(caught.value) == (
        f"alkalis.csv, line {line}: It has 14 cells where the head has 13. "
        "Look for a comma too many or a missing quote."
    )


def test_a_name_that_two_materials_claim_is_refused(folder):
    spoil(folder, "oils.csv", "Palm kernel oil,PKO", "Palm kernel oil,Palm oil")
    with pytest.raises(ReferenceDataError) as caught:
        read_reference(folder)
    assert str(caught.value) == "“Palm oil” names both “palm_kernel” and “palm”. Take it away from one of them."


def test_a_missing_table_is_refused(folder):
    (folder / "oils.csv").unlink()
    with pytest.raises(ReferenceDataError) as caught:
        read_reference(folder)
    assert str(caught.value) == f"oils.csv is missing in {folder}. Put the table back."


def test_an_untouched_copy_is_read(folder):
    assert read_reference(folder) == read_reference()


@pytest.mark.parametrize(
    ("number", "is_one"),
    (
        pytest.param("7732-18-5", True, id="water"),
        pytest.param("56-81-5", True, id="glycerol"),
        pytest.param("56-81-6", False, id="wrong check digit"),
        pytest.param("water", False, id="a word"),
    ),
)
def test_cas_numbers_check(number, is_one):
    assert is_cas_number(number) is is_one
