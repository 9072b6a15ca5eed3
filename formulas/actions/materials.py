"""Keep the book of materials: their figures, their allergen statement, their names on labels."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import transaction

from formulas.actions.checks import has_repeats, is_name_taken
from formulas.models import Allergen, Material, MaterialAllergen
from soapshop.audit import changed_fields, note_event
from soapshop.models import User

LABEL_NAMES = ("label_name_us", "label_name_eu", "soap_name_sodium", "soap_name_potassium")


class MaterialRefusal(Exception):
    """A material cannot be kept this way; the message says why and the mend."""


@dataclass(frozen=True)
class AllergenShare:
    """The most of one allergen that the supplier's statement gives, percent of the material."""

    allergen: Allergen
    share_percent: Decimal


@transaction.atomic
def create_material(*, kind: str, figures: dict[str, Any], by: User) -> Material:
    name = figures["name"]
    if Material.objects.filter(name__iexact=name).exists():
        raise MaterialRefusal(f"There is a material named “{name}” already. Change that one, or choose another name.")
    material = Material.objects.create(kind=kind, **figures)
    note_event(by=by, verb="create_material", subject=material, text=f"Added the material {name}.", after=figures)
    return material


@transaction.atomic
def save_material(*, material_id: int, figures: dict[str, Any], by: User) -> Material:
    """Write what changed. A changed label name has to be confirmed again."""
    material = Material.objects.select_for_update().get(pk=material_id)
    name = figures.get("name", material.name)
    if is_name_taken(material, name):
        raise MaterialRefusal(f"There is another material named “{name}”. Choose a name of its own.")
    before, after = changed_fields(material, figures)
    if not after:
        return material
    if material.has_confirmed_names and set(after) & set(LABEL_NAMES):
        before["has_confirmed_names"], after["has_confirmed_names"] = True, False
    for field, wanted in after.items():
        setattr(material, field, wanted)
    material.save(update_fields=list(after))
    note_event(
        by=by, verb="save_material", subject=material, text=f"Changed {material.name}.", before=before, after=after
    )
    return material


@transaction.atomic
def confirm_label_names(*, material_id: int, by: User) -> Material:
    """Note that a person has checked the label names against the current list."""
    material = Material.objects.select_for_update().get(pk=material_id)
    if not (material.label_name_us or material.label_name_eu):
        raise MaterialRefusal(f"{material.name} has no name for the label yet. Enter it, then confirm it.")
    if not material.has_confirmed_names:
        material.has_confirmed_names = True
        material.save(update_fields=["has_confirmed_names"])
        names = {field: getattr(material, field) for field in LABEL_NAMES}
        note_event(
            by=by,
            verb="confirm_label_names",
            subject=material,
            text=f"Confirmed the label names of {material.name}.",
            after=names,
        )
    return material


@transaction.atomic
def set_allergen_statement(
    *, material_id: int, shares: Sequence[AllergenShare], is_entered: bool, source: str, by: User
) -> Material:
    """Replace the allergen shares of a material. ``is_entered`` says that the whole statement has been typed in."""
    material = Material.objects.select_for_update().get(pk=material_id)
    if has_repeats(share.allergen.pk for share in shares):
        raise MaterialRefusal("An allergen stands there twice. Keep one line with the highest share.")
    total = sum((share.share_percent for share in shares), Decimal(0))
    if total > 100:
        raise MaterialRefusal(f"The shares add up to {total.normalize():f} %, more than the whole. Check the percents.")
    before = {row.allergen.name: row.share_percent for row in material.allergen_shares.select_related("allergen")}
    material.allergen_shares.all().delete()
    MaterialAllergen.objects.bulk_create(
        MaterialAllergen(
            material=material, allergen=share.allergen, share_percent=share.share_percent, source=source[:200]
        )
        for share in shares
    )
    material.has_allergen_statement = is_entered
    material.save(update_fields=["has_allergen_statement"])
    note_event(
        by=by,
        verb="set_allergen_statement",
        subject=material,
        text=f"Entered the allergen statement of {material.name}: {len(shares)} allergens.",
        before=before,
        after={share.allergen.name: share.share_percent for share in shares} | {"source": source},
    )
    return material
