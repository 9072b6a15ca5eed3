"""Whether a batch goes to plan at the bench: its jugs against the scent and the lye, its parts against the heat."""

from formulas.chemistry.results import Finding
from formulas.pour_records import in_pace
from formulas.pouring import PouredJug, PouredPart, ScentFacts, is_light, pour_findings, pour_time
from production.batches.frozen import FrozenPlan, FrozenPortion

SCENT_KINDS = ("fragrance", "essential_oil")


def bench_findings(plan: FrozenPlan) -> tuple[Finding, ...]:
    """Return what should be settled before the pour; a stop means it cannot go well."""
    scents = in_pace(
        ScentFacts(scent.name, bool(scent.speeds_trace), scent.vanillin_percent, seen=scent.color_change)
        for scent in plan.materials
        if scent.kind in SCENT_KINDS
    )
    return pour_findings(
        tuple(PouredJug(jug.letter, jug.is_scented, is_light(jug.color_hex)) for jug in _first_places(plan)),
        lye_concentration_percent=plan.lye_concentration_percent,
        scent=scents[0] if scents else None,
        others=scents[1:],
        parts=tuple(PouredPart(part.name, part.forbids_heat, part.attached_at == "pour") for part in plan.parts),
        is_heated=plan.gels,
    )


def bench_minutes(plan: FrozenPlan) -> str:
    """Say how long the jugs take and how long the batter waits; nothing for a single jug."""
    jugs = _jugs(plan)
    if len(jugs) < 2:
        return ""
    speeds = any(jugs.values()) and any(
        material.speeds_trace for material in plan.materials if material.kind in SCENT_KINDS
    )
    time = pour_time(len(jugs), lye_concentration_percent=plan.lye_concentration_percent, speeds_trace=bool(speeds))
    return (
        f"{len(jugs)} jugs want {time.needed_least} to {time.needed_most} minutes; "
        f"the batter stays pourable about {time.open_least} to {time.open_most}."
    )


def _jugs(plan: FrozenPlan) -> dict[str, bool]:
    """Return each jug with whether it is scented."""
    return {portion.letter: portion.is_scented for portion in plan.portions}


def _first_places(plan: FrozenPlan) -> list[FrozenPortion]:
    """Return each jug once, where it is poured first."""
    found: dict[str, FrozenPortion] = {}
    for portion in plan.portions:
        found.setdefault(portion.letter, portion)
    return list(found.values())
