"""Rows to frozen records: the ingredient list that a revision would carry if it were made exactly as written."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import cast

from formulas.chemistry.results import FormulaResult
from formulas.declaration import (
    AllergenShare,
    DeclarationError,
    DeclarationInput,
    DeclaredInput,
    LabelNames,
    build_declaration,
)
from formulas.declaration.records import Market, Role, Style
from formulas.label_rules.rows import LabelRuleError
from formulas.label_rules.rulebook import packaged_tables
from formulas.models import FormulaLine, Material
from formulas.records import fraction
from formulas.size_records import kept_fraction
from soapshop.models import Workshop

Kind = Material.Kind
Stage = FormulaLine.Stage
HUNDRED, ZERO = Decimal(100), Decimal(0)
ROLES: dict[str, Role] = {
    Kind.FAT: "fat",
    Kind.ALKALI: "alkali",
    Kind.LIQUID: "liquid",
    Kind.ACID: "acid",
    Kind.ADDITIVE: "additive",
    Kind.FRAGRANCE: "scent",
    Kind.ESSENTIAL_OIL: "scent",
    Kind.COLORANT: "colorant",
    Kind.BOTANICAL: "botanical",
}


def label_list(lines: Iterable[FormulaLine], result: FormulaResult | None, *, workshop: Workshop, on_date: date) -> str:
    """Return the list in the workshop's market and style, colors of the designs left out; empty where none follows."""
    if result is None or result.batch_grams is None:
        return ""
    given = DeclarationInput(
        inputs=tuple(declared_inputs(lines, result)),
        market=cast(Market, workshop.market),
        style=cast(Style, workshop.declaration_style),
        on_date=on_date,
        cured_mass_grams=result.batch_grams * kept_fraction(result),
    )
    try:
        return build_declaration(given, packaged_tables()).text
    except (DeclarationError, LabelRuleError):
        return ""


def declared_inputs(lines: Iterable[FormulaLine], result: FormulaResult) -> Iterable[DeclaredInput]:
    """Return each material with the grams that the formula asks for."""
    for material, grams in material_grams(lines, result):
        if material is None:
            yield DeclaredInput("Water", grams, "liquid", LabelNames(us="Water", eu="Aqua"), water_fraction=Decimal(1))
        elif material.kind in ROLES:
            yield declared_input(material, grams)


def material_grams(
    lines: Iterable[FormulaLine], result: FormulaResult
) -> Iterable[tuple[Material, Decimal] | tuple[None, Decimal]]:
    """Return the grams of each material of a worked-out formula; None stands for water that it does not name."""
    oils = result.oils_grams or ZERO
    liquids = dict(result.liquids)
    alkali = {"NaOH": result.naoh_grams or ZERO, "KOH": result.koh_grams or ZERO}
    for line in lines:
        material = line.material
        if line.stage == Stage.ALKALI:
            grams = alkali[material.alkali_kind]
        elif line.stage == Stage.LIQUID:
            grams = liquids.pop(material.name, ZERO)
        else:
            grams = oils * line.percent / HUNDRED
        if grams:
            yield material, grams
    water = sum(liquids.values(), ZERO) + (result.water_in_stock_grams or ZERO)
    if water:
        yield None, water


def declared_input(material: Material, grams: Decimal) -> DeclaredInput:
    role = ROLES[material.kind]
    low, high = material.fat_sap_low, material.fat_sap_high
    wet = Decimal(1) if material.kind == Kind.LIQUID else ZERO
    return DeclaredInput(
        material=material.name,
        grams=grams,
        role=role,
        names=LabelNames(
            us=material.label_name_us,
            eu=material.label_name_eu,
            soap_sodium=material.soap_name_sodium,
            soap_potassium=material.soap_name_potassium,
            color_us=material.us_color_listing,
            color_ci=material.color_index,
            is_confirmed=material.has_confirmed_names,
        ),
        sap_koh_mg_per_g=material.sap_plan if role == "fat" else None,
        purity_fraction=_purity(material) if role == "alkali" else Decimal(1),
        alkali_kind=material.alkali_kind if role == "alkali" else "",  # type: ignore[arg-type]
        water_fraction=wet if material.water_percent is None else material.water_percent / HUNDRED,
        fat_fraction=(fraction(material.fat_percent) or ZERO) if role != "fat" else ZERO,
        fat_sap_koh_mg_per_g=None if low is None or high is None else (low + high) / 2,
        alkali_demand_g_naoh_per_g=material.alkali_demand_g_naoh_per_g or ZERO,
        gives_glycerol=material.gives_glycerol,
        is_fatty_acid=role == "fat" and material.name.casefold().endswith(" acid"),
        allergens=_allergens(material),
    )


def _purity(material: Material) -> Decimal:
    return (material.purity_percent or material.purity_high_percent or HUNDRED) / HUNDRED


def _allergens(material: Material) -> tuple[AllergenShare, ...] | None:
    if not material.has_allergen_statement:
        return None
    shares = material.allergen_shares.select_related("allergen")
    return tuple(AllergenShare(share.allergen.name, share.share_percent) for share in shares)
