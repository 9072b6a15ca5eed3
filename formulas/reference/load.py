"""Writing the reference data: what a person changed stays as that person left it.

Each material keeps, in ``reference_values``, what was last loaded into it. A field is written only while it still holds
that, so a second run after an update brings the new figures and leaves a person's own alone.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from decimal import Decimal
from enum import Enum
from typing import Any

from django.db import transaction

from formulas.models import Allergen, Material
from formulas.reference.rows import AllergenRow, MaterialRow, Reference

NOT_FIELDS = {"key", "aliases", "is_free_acid"}
FIELDS = tuple(each.name for each in fields(MaterialRow) if each.name not in NOT_FIELDS)
# Figures that belong together: when a person changed one, all of them are that person's.
TOGETHER = (
    ("sap_low", "sap_plan", "sap_high"),
    ("fat_sap_low", "fat_sap_high"),
    ("purity_low_percent", "purity_percent", "purity_high_percent"),
    ("dose_low_percent", "dose_high_percent", "dose_basis"),
)


class Outcome(Enum):
    MADE = "made"
    UPDATED = "updated"
    KEPT = "kept"  # the tables say otherwise, but a person changed it
    UNCHANGED = "unchanged"
    NOT_OURS = "not_ours"  # a person made a material of this name


@dataclass
class LoadReport:
    """What a run did. ``kept_fields`` names, for each material, the fields that a person changed."""

    materials: dict[Outcome, list[str]] = field(default_factory=lambda: {outcome: [] for outcome in Outcome})
    allergens: dict[Outcome, list[str]] = field(default_factory=lambda: {outcome: [] for outcome in Outcome})
    kept_fields: dict[str, tuple[str, ...]] = field(default_factory=dict)


@transaction.atomic
def load_reference(*, reference: Reference) -> LoadReport:
    """Write the reference data in one transaction. Rows that left the tables stay in the database."""
    report = LoadReport()
    materials = list(Material.objects.select_for_update())
    by_key = {material.key: material for material in materials if material.key}
    name_holders = {material.name.casefold(): material for material in materials}
    for row in reference.materials:
        outcome = _load_material(row, by_key.get(row.key), name_holders, report)
        report.materials[outcome].append(row.name)
    allergens = {allergen.entry: allergen for allergen in Allergen.objects.select_for_update()}
    for allergen_row in reference.allergens:
        outcome = _load_allergen(allergen_row, allergens.get(allergen_row.entry))
        report.allergens[outcome].append(allergen_row.name)
    return report


def _load_material(
    row: MaterialRow, material: Material | None, name_holders: dict[str, Material], report: LoadReport
) -> Outcome:
    loaded = {name: plain(getattr(row, name)) for name in FIELDS}
    if material is None:
        if row.name.casefold() in name_holders:
            return Outcome.NOT_OURS
        name_holders[row.name.casefold()] = Material.objects.create(
            key=row.key, reference_values=loaded, **{name: _as_stored(getattr(row, name)) for name in FIELDS}
        )
        return Outcome.MADE
    theirs = _fields_a_person_changed(material, loaded)
    holder = name_holders.get(row.name.casefold())
    if holder is not None and holder.pk != material.pk:
        theirs.add("name")
    changed = [name for name in FIELDS if name not in theirs and plain(getattr(material, name)) != loaded[name]]
    kept = tuple(name for name in FIELDS if name in theirs and plain(getattr(material, name)) != loaded[name])
    if kept:
        report.kept_fields[material.name] = kept
    for name in changed:
        setattr(material, name, _as_stored(getattr(row, name)))
    if changed or material.reference_values != loaded:
        material.reference_values = loaded
        material.save(update_fields=[*changed, "reference_values"])
    if changed:
        return Outcome.UPDATED
    return Outcome.KEPT if kept else Outcome.UNCHANGED


def _fields_a_person_changed(material: Material, loaded: Mapping[str, Any]) -> set[str]:
    last: Mapping[str, Any] = material.reference_values or {}
    theirs = {
        name
        for name in FIELDS
        if plain(getattr(material, name)) not in (last.get(name, _untouched(name)), loaded[name])
    }
    for group in TOGETHER:
        if theirs.intersection(group):
            theirs.update(group)
    return theirs


def _untouched(name: str) -> Any:
    """What a field holds that was never loaded and never typed into."""
    return plain(getattr(Material(), name))


def _load_allergen(row: AllergenRow, allergen: Allergen | None) -> Outcome:
    values = {each.name: getattr(row, each.name) for each in fields(row)}
    if allergen is None:
        Allergen.objects.create(**values)
        return Outcome.MADE
    changed = [name for name, value in values.items() if getattr(allergen, name) != value]
    if not changed:
        return Outcome.UNCHANGED
    for name in changed:
        setattr(allergen, name, values[name])
    allergen.save(update_fields=changed)
    return Outcome.UPDATED


def plain(value: Any) -> Any:
    """Return a value as it is kept in ``reference_values`` and compared: numbers as text without idle zeros."""
    if isinstance(value, Decimal):
        return f"{value.normalize():f}" if value else "0"
    if isinstance(value, tuple | list):
        return list(value)
    if isinstance(value, Mapping):
        return dict(value)
    return value


def _as_stored(value: Any) -> Any:
    return value if isinstance(value, Decimal) else plain(value)
