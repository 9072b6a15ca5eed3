"""What a bar is. One file for each noun a person works on."""

from formulas.models.blends import ColorBlend, ColorBlendPart
from formulas.models.designs import (
    Design,
    DesignPart,
    DesignRow,
    Portion,
    PortionColor,
    RouteStep,
)
from formulas.models.formulas import Formula, FormulaLine, FormulaRevision
from formulas.models.materials import Allergen, Material, MaterialAllergen
from formulas.models.molds import Mold
from formulas.models.parts import Part, PartIngredient

__all__ = [
    "Allergen",
    "ColorBlend",
    "ColorBlendPart",
    "Design",
    "DesignPart",
    "DesignRow",
    "Formula",
    "FormulaLine",
    "FormulaRevision",
    "Material",
    "MaterialAllergen",
    "Mold",
    "Part",
    "PartIngredient",
    "Portion",
    "PortionColor",
    "RouteStep",
]
