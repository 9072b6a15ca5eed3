"""All tables of a folder, read, judged and joined."""

from dataclasses import replace
from pathlib import Path

from formulas.reference.additives import Dose, read_additives, read_alkalis
from formulas.reference.allergens import read_allergens
from formulas.reference.colorants import read_colorants
from formulas.reference.fats import read_fats
from formulas.reference.label_names import with_label_names
from formulas.reference.liquids import read_liquids
from formulas.reference.rows import MaterialRow, Reference
from formulas.reference.tables import Line, ReferenceDataError, read_sources

KIND_OF_TABLE = {"oils": "fat", "liquids": "liquid", "colorants": "colorant"}
FIXTURES = Path(__file__).resolve().parent.parent.parent / "fixtures"


def read_reference(folder: Path = FIXTURES) -> Reference:
    """Return all reference data of a folder, or refuse the first line that cannot be right."""
    sources = read_sources(folder)
    fats = {row.key: row for row in read_fats(folder, sources)}
    additives, doses = read_additives(folder, sources)
    materials: dict[str, MaterialRow] = {}
    for table in (
        list(fats.values()),
        read_alkalis(folder, sources),
        read_liquids(folder, sources, fats),
        additives,
        read_colorants(folder, sources),
    ):
        for row in table:
            _judge_new(row, materials)
            materials[row.key] = row
    for key, (line, dose) in doses.items():
        materials[key] = _with_dose(materials.get(key), line, dose)
    materials = with_label_names(folder, materials, sources)
    _judge_names(materials)
    return Reference(tuple(materials.values()), tuple(read_allergens(folder, sources)))


def plain_name(name: str) -> str:
    """Return a name as it is compared: small letters, single spaces."""
    return " ".join(name.casefold().split())


def _judge_new(row: MaterialRow, materials: dict[str, MaterialRow]) -> None:
    if row.key in materials:
        raise ReferenceDataError(
            f"The key “{row.key}” stands in two tables, for {materials[row.key].name} and for {row.name}. "
            "Rename one of them."
        )


def _with_dose(row: MaterialRow | None, line: Line, dose: Dose) -> MaterialRow:
    if row is None or row.kind != KIND_OF_TABLE[line.text("stands_in")]:
        raise line.refusal(f"There is no material “{line.key()}” in that table.", "Add it there, or correct the key.")
    return replace(
        row,
        dose_low_percent=dose.low_percent,
        dose_high_percent=dose.high_percent,
        dose_basis=dose.basis,
        when_added=dose.when_added,
    )


def _judge_names(materials: dict[str, MaterialRow]) -> None:
    taken: dict[str, str] = {}
    for row in materials.values():
        for name in (row.name, *row.aliases):
            other = taken.setdefault(plain_name(name), row.key)
            if other != row.key:
                raise ReferenceDataError(
                    f"“{name}” names both “{other}” and “{row.key}”. Take it away from one of them."
                )
