"""What the pages of materials show."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import Count, Q

from formulas.chemistry.findings_parts import agrees_with_range, sap_of_make_up
from formulas.models import Material
from formulas.models.materials import MaterialQuerySet
from formulas.records import fat_of
from soapshop.units import plain

SAMPLE_GRAMS = Decimal(100)
Kind = Material.Kind


def material_choices() -> dict[str, list[str]]:
    """Return the names to choose from in each list of a formula, read in one query."""
    names: dict[str, list[str]] = {"oils": [], "alkali": [], "liquid": [], "extras": []}
    lists = {Material.Kind.FAT: "oils", Material.Kind.ALKALI: "alkali", Material.Kind.LIQUID: "liquid"}
    for name, kind in Material.objects.in_use().exclude(kind__in=Material.NO_INGREDIENT).values_list("name", "kind"):
        names[lists.get(Material.Kind(kind), "extras")].append(name)
    return names


def material_names(*kinds: str) -> list[str]:
    """Return the names of the materials in use of these kinds, for a list to choose from."""
    return list(Material.objects.in_use().of_kind(*kinds).order_by("name").values_list("name", flat=True))


def material_rows(*, kind: str, words: str, with_shelved: bool) -> MaterialQuerySet:
    """Return the materials of a list, narrowed by kind and by words in the name, the label names or the source."""
    rows = Material.objects.all() if with_shelved else Material.objects.in_use()
    if kind:
        rows = rows.of_kind(kind)
    for word in words.split()[:6]:
        rows = rows.filter(
            Q(name__icontains=word)
            | Q(label_name_us__icontains=word)
            | Q(label_name_eu__icontains=word)
            | Q(color_index__icontains=word)
        )
    return rows


def kinds_with_counts() -> list[tuple[str, str, int]]:
    """Return each kind with its label and how many materials in use are of it; own soap is not bought."""
    counted = dict(Material.objects.in_use().order_by().values_list("kind").annotate(Count("pk")))
    return [(kind.value, kind.label, counted.get(kind.value, 0)) for kind in Kind if kind != Kind.SOAP]


@dataclass(frozen=True)
class MaterialFigure:
    """One figure of a material as it is read: None is not known, which is not zero."""

    label: str
    text: str | None


@dataclass(frozen=True)
class MaterialPage:
    material: Material
    figures: tuple[MaterialFigure, ...]
    names: tuple[MaterialFigure, ...]
    fatty_acids: tuple[tuple[str, str], ...]
    is_scent: bool

    @property
    def unknown_count(self) -> int:
        return sum(figure.text is None for figure in self.figures)


# Label, the field or the fields of a range, unit.
ROWS: dict[str, tuple[tuple[str, tuple[str, ...], str], ...]] = {
    Kind.FAT: (
        ("SAP, lowest – planned – highest", ("sap_low", "sap_plan", "sap_high"), "mg KOH per g"),
        ("Iodine value", ("iodine_value",), "g per 100 g"),
        ("Density in the warm pot", ("density_g_per_ml",), "g/ml"),
        ("Unsaponifiable", ("unsaponifiable_percent",), "%"),
    ),
    Kind.ALKALI: (
        (
            "Purity, lowest – planned – highest",
            ("purity_low_percent", "purity_percent", "purity_high_percent"),
            "%",
        ),
    ),
    Kind.LIQUID: (
        ("Water", ("water_percent",), "%"),
        ("Fat", ("fat_percent",), "%"),
        ("SAP of that fat", ("fat_sap_low", "fat_sap_high"), "mg KOH per g"),
        ("Sugars", ("sugars_percent",), "%"),
        ("Protein", ("protein_percent",), "%"),
        ("Alcohol", ("alcohol_percent",), "%"),
        ("Lye it takes up", ("alkali_demand_g_naoh_per_g",), "g NaOH per g"),
    ),
    Kind.ACID: (
        ("Lye it takes up", ("alkali_demand_g_naoh_per_g",), "g NaOH per g"),
        ("Water in it", ("water_percent",), "%"),
    ),
    Kind.ADDITIVE: (
        ("Lye it takes up", ("alkali_demand_g_naoh_per_g",), "g NaOH per g"),
        ("Water in it", ("water_percent",), "%"),
        ("Alcohol in it", ("alcohol_percent",), "%"),
    ),
    Kind.FRAGRANCE: (
        ("Limit on the finished bar", ("scent_limit_percent",), "%"),
        ("Flash point", ("flash_point_c",), "°C"),
        ("Alcohol in it", ("alcohol_percent",), "%"),
    ),
    Kind.COLORANT: (),
    Kind.BOTANICAL: (("Water in it", ("water_percent",), "%"),),
    Kind.PACKAGING: (),
    Kind.SOAP: (),
}
ROWS[Kind.ESSENTIAL_OIL] = ROWS[Kind.FRAGRANCE]
DOSED = (Kind.ACID, Kind.ADDITIVE, Kind.FRAGRANCE, Kind.ESSENTIAL_OIL, Kind.COLORANT, Kind.BOTANICAL, Kind.LIQUID)


def material_page(material: Material) -> MaterialPage:
    figures = [
        MaterialFigure(label, _range([getattr(material, name) for name in fields], unit))
        for label, fields, unit in ROWS[material.kind]
    ]
    if material.kind == Kind.FAT and (checked := _checked_sap(material)):
        figures.append(checked)
    if material.kind in DOSED:
        dose = _range([material.dose_low_percent, material.dose_high_percent], "%")
        basis = f" {material.get_dose_basis_display().lower().removeprefix('percent ')}" if material.dose_basis else ""
        figures.append(MaterialFigure("Usual dose", None if dose is None else dose + basis))
    if material.kind in DOSED and material.kind != Kind.LIQUID:
        figures.append(MaterialFigure("A level teaspoon weighs", _range([material.grams_per_teaspoon], "g")))
    acids = material.fatty_acids_percent or {}
    return MaterialPage(
        material=material,
        figures=tuple(figures),
        names=_names(material),
        fatty_acids=tuple(sorted(((acid, str(share)) for acid, share in acids.items()), key=_largest_first)),
        is_scent=material.is_scent,
    )


def _checked_sap(material: Material) -> MaterialFigure | None:
    """Return the SAP that the fatty acids give, set against the range on file; None where it cannot be worked out."""
    fat = fat_of(material, SAMPLE_GRAMS)
    reckoned = None if fat is None else sap_of_make_up(fat)
    if fat is None or reckoned is None:
        return None
    agrees = agrees_with_range(reckoned, fat.sap_koh_mg_per_g)
    verdict = "agrees with the range" if agrees else "outside the range: one of the two is wrong or of another oil"
    return MaterialFigure("SAP by its fatty acids", f"{reckoned:.1f} mg KOH per g, {verdict}")


def _largest_first(pair: tuple[str, Any]) -> Decimal:
    return -Decimal(str(pair[1]))


def _range(numbers: list[Decimal | None], unit: str) -> str | None:
    """Write a figure or a range; a range of one number is one number."""
    known = [plain(number) for number in numbers if number is not None]
    if not known:
        return None
    once = known if len(set(known)) > 1 else known[:1]
    return f"{' – '.join(f'{number:f}' for number in once)} {unit}"


def _names(material: Material) -> tuple[MaterialFigure, ...]:
    names = [("United States", material.label_name_us), ("European Union", material.label_name_eu)]
    if material.kind == Kind.FAT:
        names += [
            ("Its soap with NaOH", material.soap_name_sodium),
            ("Its soap with KOH", material.soap_name_potassium),
        ]
    if material.kind == Kind.COLORANT:
        names += [("Color index", material.color_index), ("United States listing", material.us_color_listing)]
    return tuple(MaterialFigure(label, name or None) for label, name in names)
