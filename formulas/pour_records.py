"""Rows to frozen records: what a design asks of the bench, against the scent and the lye of its formula."""

from collections.abc import Iterable
from decimal import Decimal

from formulas.chemistry.results import Finding
from formulas.jugs import PortionPlan
from formulas.models import Design, FormulaRevision, Part
from formulas.pouring import PouredJug, PouredPart, PourTime, ScentFacts, is_light, pour_findings, pour_time


def in_pace(scents: Iterable[ScentFacts]) -> tuple[ScentFacts, ...]:
    """Return the scents with the one that sets the pace first: the first that speeds up trace, else the first."""
    return tuple(sorted(scents, key=lambda scent: not scent.speeds_trace))


def revision_scents(revision: FormulaRevision) -> tuple[ScentFacts, ...]:
    materials = (line.material for line in revision.lines.all() if line.material.is_scent)
    return in_pace(
        ScentFacts(
            material.name,
            speeds_trace=material.speeds_trace,
            vanillin_percent=material.vanillin_percent,
            seen=material.color_change,
        )
        for material in materials
    )


def design_pour_findings(
    design: Design, revision: FormulaRevision, jugs: Iterable[PortionPlan], *, lye_percent: Decimal
) -> tuple[Finding, ...]:
    scents = revision_scents(revision)
    tones = {cell.letter: cell.color_hex for row in design.rows.all() for cell in row.portions.all()}
    return pour_findings(
        tuple(PouredJug(jug.letter, jug.scented, is_light(tones.get(jug.letter, ""))) for jug in jugs),
        lye_concentration_percent=lye_percent,
        scent=scents[0] if scents else None,
        others=scents[1:],
        parts=tuple(_poured_part(carried.part, design) for carried in design.parts.all()),
        is_heated=design.gels,
    )


def _poured_part(part: Part, design: Design) -> PouredPart:
    is_embedded = part.kind in (Part.Kind.EMBED, Part.Kind.DOUGH) and part.attached_at == Part.AttachedAt.POUR
    return PouredPart(
        part.name,
        part.forbids_heat,
        part.attached_at == Part.AttachedAt.POUR,
        is_embedded=is_embedded,
        is_of_another_formula=part.formula_id is not None and part.formula_id != design.formula_id,
        oldest_days=part.made_ahead_most_days,
    )


def design_pour_time(revision: FormulaRevision, jugs: Iterable[PortionPlan], *, lye_percent: Decimal) -> PourTime:
    """Return minutes the jugs want and minutes the batter stays pourable."""
    poured, scents = tuple(jugs), revision_scents(revision)
    speeds = any(scent.speeds_trace for scent in scents) and any(jug.scented for jug in poured)
    return pour_time(len(poured), lye_concentration_percent=lye_percent, speeds_trace=speeds)
