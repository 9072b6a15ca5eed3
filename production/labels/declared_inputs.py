"""What was weighed, as an ingredient list wants it: a role for each kind of material, its names, its allergens.

No Django. Figures of the chemistry stay as they were frozen with the batch. Words and the allergen statement may be
mended after the pour, so that a label is not stopped for good by a name that was missing on the pour day: what a
person had confirmed by then stays, everything else is taken from the material as it stands now.
"""

from dataclasses import replace
from decimal import Decimal

from formulas.declaration import AllergenShare, DeclaredInput, LabelNames
from formulas.declaration.records import Role
from production.batches.frozen import FrozenMaterial, FrozenPart

HUNDRED = Decimal(100)
MILLIGRAM = Decimal("0.001")
ROLES: dict[str, Role] = {
    "fat": "fat",
    "alkali": "alkali",
    "liquid": "liquid",
    "acid": "acid",
    "additive": "additive",
    "fragrance": "scent",
    "essential_oil": "scent",
    "colorant": "colorant",
    "botanical": "botanical",
}
WORDS = (
    "label_name_us",
    "label_name_eu",
    "soap_name_sodium",
    "soap_name_potassium",
    "color_index",
    "us_color_listing",
    "has_confirmed_names",
)


def with_present_words(frozen: FrozenMaterial, present: FrozenMaterial | None) -> FrozenMaterial:
    """Take names and allergens of today where nobody had confirmed them when the batch was planned."""
    if present is None:
        return frozen
    changes = {} if frozen.has_confirmed_names else {word: getattr(present, word) for word in WORDS}
    if not frozen.has_allergen_statement:
        changes |= {"has_allergen_statement": present.has_allergen_statement, "allergens": present.allergens}
    return replace(frozen, **changes)


def is_content(material: FrozenMaterial) -> bool:
    """Packaging is bought and counted like a material, but is not in the bar."""
    return material.kind in ROLES


def declared_input(material: FrozenMaterial, grams: Decimal, *, certification_lot: str = "") -> DeclaredInput:
    """Return one weighed material with everything the list needs to know about it."""
    role = ROLES[material.kind]
    return DeclaredInput(
        material=material.name,
        grams=grams,
        role=role,
        names=_names(material),
        sap_koh_mg_per_g=material.sap_plan if role == "fat" else None,
        purity_fraction=_purity_fraction(material) if role == "alkali" else Decimal(1),
        alkali_kind=_alkali_kind(material),  # type: ignore[arg-type]
        water_fraction=_water_fraction(material),
        fat_fraction=(material.fat_percent or Decimal()) / HUNDRED if role != "fat" else Decimal(),
        fat_sap_koh_mg_per_g=_fat_sap(material),
        alkali_demand_g_naoh_per_g=material.alkali_demand_g_naoh_per_g or Decimal(),
        gives_glycerol=material.gives_glycerol,
        is_fatty_acid=role == "fat" and material.name.casefold().strip().endswith(" acid"),
        certification_lot=certification_lot,
        allergens=_allergens(material),
    )


def part_input(
    part: FrozenPart, *, bars: int, ingredients: tuple[tuple[FrozenMaterial, Decimal], ...]
) -> DeclaredInput:
    """Return the pieces of one part on so many bars; each ingredient is a share of the piece."""
    grams = part.bar_grams * bars
    return DeclaredInput(
        material=part.name,
        grams=grams,
        role="part",
        components=tuple(
            declared_input(material, (grams * percent / HUNDRED).quantize(MILLIGRAM))
            for material, percent in ingredients
            if is_content(material)
        ),
    )


def _names(material: FrozenMaterial) -> LabelNames:
    return LabelNames(
        us=material.label_name_us,
        eu=material.label_name_eu,
        soap_sodium=material.soap_name_sodium,
        soap_potassium=material.soap_name_potassium,
        color_us=material.us_color_listing,
        color_ci=material.color_index,
        is_confirmed=material.has_confirmed_names,
    )


def _alkali_kind(material: FrozenMaterial) -> str:
    return material.alkali_kind if material.kind == "alkali" else ""


def _purity_fraction(material: FrozenMaterial) -> Decimal:
    """The planned purity, as the bench reckons the pot with it."""
    return (material.purity_percent or material.purity_high_percent or HUNDRED) / HUNDRED


def _water_fraction(material: FrozenMaterial) -> Decimal:
    if material.water_percent is not None:
        return material.water_percent / HUNDRED
    return Decimal(1) if material.kind == "liquid" else Decimal()


def _fat_sap(material: FrozenMaterial) -> Decimal | None:
    if material.kind == "fat" or material.fat_sap_low is None or material.fat_sap_high is None:
        return None
    return (material.fat_sap_low + material.fat_sap_high) / 2


def _allergens(material: FrozenMaterial) -> tuple[AllergenShare, ...] | None:
    if not material.has_allergen_statement:
        return None
    return tuple(AllergenShare(name, percent) for name, percent in material.allergens)
