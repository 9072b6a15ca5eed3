"""Rows to what a formula and the parts of a design ask of the way it is made."""

from collections.abc import Iterable
from decimal import Decimal

from formulas.models import Formula, FormulaLine, Material, Part
from formulas.routes import ALCOHOL, FIBER, FREEZE, RoutePart

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


def route_parts(parts: Iterable[Part]) -> tuple[RoutePart, ...]:
    """Return what these parts ask of the way a design is made."""
    return tuple(
        RoutePart(
            kind=part.kind,
            least_days=part.made_ahead_least_days,
            most_days=part.made_ahead_most_days,
            is_bought=part.is_bought,
            joins_cut_bars=part.attached_at == Part.AttachedAt.CUT,
            window_days=part.attach_window_days,
        )
        for part in parts
    )
