"""The cautions of one batch, each at the step where it bites. Rules only: frozen plan in, sentences out.

Topics and triggers follow good manufacturing practice for small workshops and supplier safety sheets for sodium and
potassium hydroxide (CAS 1310-73-2, 1310-58-3; CLP H290, H314). The supplier's own sheet has the last word.
"""

from dataclasses import dataclass
from decimal import Decimal

from formulas.sugars import is_sugar
from production.batches.bench_time import bench_findings, bench_minutes
from production.batches.frozen import FrozenPlan

# Near 1:1 at room temperature NaOH no longer dissolves clear; more water than 3:1 means a long cure (common practice).
STRONG_LYE_PERCENT, WEAK_LYE_PERCENT = Decimal(50), Decimal(25)
# Usual batter heat at which scent goes in (common practice, no source).
SCENT_HEAT_C = Decimal(50)
SUGARY_PERCENT = Decimal(1)

# They bite at every pot, also at a small one.
LYE_CAUTIONS = (
    "Lye into liquid, never liquid onto lye: slowly, stirring, the liquid cold.",
    "Goggles, gloves, long sleeves, apron, closed shoes. No children or pets. Ventilate.",
    "Plastic or stainless steel: lye eats aluminum, tin and zinc and frees hydrogen.",
)
FRESH_CAUTION = "Fresh bars are still caustic: gloves until the alkali check is clear."


@dataclass(frozen=True)
class Caution:
    """``step`` is one of lye, oils, trace, pour, cut, parts."""

    step: str
    text: str


def cautions(plan: FrozenPlan) -> tuple[Caution, ...]:
    return (*_lye(plan), *_liquids(plan), *_scents(plan), *_bench(plan), *_parts(plan), *_cut())


def _lye(plan: FrozenPlan) -> list[Caution]:
    found = [Caution("lye", text) for text in LYE_CAUTIONS]
    if plan.lye_concentration_percent > STRONG_LYE_PERCENT:
        found.append(Caution("lye", "Stronger than 50 %: this lye will not dissolve clear at room temperature."))
    if plan.lye_concentration_percent < WEAK_LYE_PERCENT:
        found.append(Caution("lye", "Weaker than 25 %: more water to lose, so a longer cure. Watch the weights."))
    return found


def _liquids(plan: FrozenPlan) -> list[Caution]:
    liquids = [material for material in plan.materials if material.kind == "liquid"]
    found = []
    if any((material.sugars_percent or 0) >= SUGARY_PERCENT for material in liquids):
        found.append(
            Caution("lye", "Sugars scorch and foam: freeze the liquid first, add lye in small parts, vessel half full.")
        )
    found += [
        Caution(
            "trace", f"{material.name} heats the batter: never into hot lye, no insulation, watch the first 2 hours."
        )
        for material in plan.materials
        if material.kind == "additive" and is_sugar(material.name)
    ]
    if any((material.alcohol_percent or 0) > 0 for material in liquids):
        found.append(Caution("lye", "Alcohol: no flame near. Simmer it off the day before and cool it."))
    return found


def _bench(plan: FrozenPlan) -> list[Caution]:
    """Say the minutes where there are several jugs, and what to fall back to where they do not suffice."""
    minutes = bench_minutes(plan)
    found = [Caution("jugs", minutes)] if minutes else []
    if any(finding.code == "pour_time" for finding in bench_findings(plan)):
        found.append(
            Caution("jugs", "If it thickens sooner: pour two layers, texture the top, write down what was done.")
        )
    return found


def _scents(plan: FrozenPlan) -> list[Caution]:
    scents = [material for material in plan.materials if material.kind in ("fragrance", "essential_oil")]
    found = [
        Caution("trace", f"{material.name} rushes the batter: everything ready, scent last, cooler.")
        for material in scents
        if material.speeds_trace
    ]
    found += [
        Caution("trace", f"{material.name}: flash point {material.flash_point_c:.0f} °C. Add it cooler, no flame.")
        for material in scents
        if material.flash_point_c is not None and material.flash_point_c < SCENT_HEAT_C
    ]
    return found


def _parts(plan: FrozenPlan) -> list[Caution]:
    return [
        Caution("parts", f"{part.name} must not meet heat: no oven, no gel.")
        for part in plan.parts
        if part.forbids_heat
    ]


def _cut() -> list[Caution]:
    return [Caution("cut", FRESH_CAUTION)]
