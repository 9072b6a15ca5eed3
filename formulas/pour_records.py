"""Rows to frozen records: what a design asks of the bench, against the scent and the lye of its formula."""

from collections.abc import Iterable
from decimal import Decimal

from formulas.chemistry.results import Finding
from formulas.models import Design, FormulaRevision, Part
from formulas.portions import PortionPlan
from formulas.pouring import PouredJug, PouredPart, PourTime, ScentFacts, pour_findings, pour_time


def leading_scent(scents: Iterable[tuple[str, bool]]) -> ScentFacts | None:
    """Return the scent that sets the pace: of (name, speeds trace) the first that speeds up, else the first."""
    ordered = sorted(scents, key=lambda scent: not scent[1])
    return ScentFacts(ordered[0][0], speeds_trace=ordered[0][1]) if ordered else None


def revision_scent(revision: FormulaRevision) -> ScentFacts | None:
    materials = [line.material for line in revision.lines.all() if line.material.is_scent]
    return leading_scent((material.name, material.speeds_trace) for material in materials)


def design_pour_findings(
    design: Design, revision: FormulaRevision, jugs: Iterable[PortionPlan], *, lye_percent: Decimal
) -> tuple[Finding, ...]:
    return pour_findings(
        tuple(PouredJug(jug.letter, scented=jug.scented) for jug in jugs),
        lye_concentration_percent=lye_percent,
        scent=revision_scent(revision),
        parts=tuple(
            PouredPart(carried.part.name, carried.part.forbids_heat, carried.part.attached_at == Part.AttachedAt.POUR)
            for carried in design.parts.all()
        ),
        is_heated=design.gels,
    )


def design_pour_time(revision: FormulaRevision, jugs: Iterable[PortionPlan], *, lye_percent: Decimal) -> PourTime:
    """Return minutes the jugs want and minutes the batter stays pourable."""
    poured, scent = tuple(jugs), revision_scent(revision)
    speeds = scent is not None and scent.speeds_trace and any(jug.scented for jug in poured)
    return pour_time(len(poured), lye_concentration_percent=lye_percent, speeds_trace=speeds)
