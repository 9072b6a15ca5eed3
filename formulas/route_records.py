"""Rows to the work that a formula wants ahead of its pour, by what its materials are."""

from decimal import Decimal

from formulas.models import Formula, FormulaLine, Material
from formulas.routes import ALCOHOL, FIBER, FREEZE

SUGARY_PERCENT = Decimal(1)  # from here on a liquid scorches in lye unless it is frozen: common practice, no source
FIBER_PERCENT = Decimal(50)  # an additive that is mostly protein is a fiber, such as silk: own choice

HOT_LYE = "dissolved in the hot lye"  # how the reference data says when silk goes in


def work_ahead(formula: Formula) -> set[str]:
    """Return the work ahead for the approved revision, else the newest one; nothing before there are lines."""
    revision = formula.revisions.approved().first() or formula.revisions.order_by("-number").first()
    if revision is None:
        return set()
    return {kind for line in revision.lines.select_related("material") if (kind := _work(line))}


def _work(line: FormulaLine) -> str:
    material = line.material
    if material.kind == Material.Kind.LIQUID:
        if (material.alcohol_percent or 0) > 0:
            return ALCOHOL
        is_rich = (material.sugars_percent or 0) >= SUGARY_PERCENT or (material.fat_percent or 0) > 0
        return FREEZE if is_rich else ""
    is_fiber = (material.protein_percent or 0) >= FIBER_PERCENT or HOT_LYE in material.when_added.lower()
    return FIBER if line.stage == FormulaLine.Stage.LYE and is_fiber else ""
