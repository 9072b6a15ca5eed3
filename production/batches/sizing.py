"""From a design, its approved formula and filled molds to one batch: grams by the scale, jugs, parts, finishes."""

from dataclasses import dataclass, replace
from decimal import Decimal

from formulas.chemistry.compute import compute_formula
from formulas.chemistry.records import FormulaSpec
from formulas.chemistry.results import FormulaResult
from formulas.cross_section import PortionError, jug_specs, portion_shares
from formulas.design_records import drawing_drops, drawing_rows, mold_of
from formulas.dose_records import formula_doses
from formulas.finishes import FinishError, finish_groups
from formulas.geometry import MoldError
from formulas.jugs import BatterMade
from formulas.models import Design, FormulaRevision
from formulas.portions import portion_plan, stirred_in_fraction
from formulas.records import reckon_revision
from formulas.scaling import USUAL_VESSEL_LOSS_FRACTION, ScalePlan, scale_to_mold_volume
from formulas.size_records import batter_size, own_fill
from formulas.weighing import WeighingError, round_to_step
from production.batches.asked import BatchAsk, BatchRefusal, known
from production.batches.bench_time import bench_findings
from production.batches.freezing import freeze_plan
from production.batches.frozen import FrozenPlan
from production.batches.weigh_out import PlannedLine, WeighRules, check_held_back, weigh_lines
from soapshop.models import Workshop

KILOGRAM = Decimal(1000)
HUNDRED = Decimal(100)


@dataclass(frozen=True)
class SizedBatch:
    plan: FrozenPlan
    lines: tuple[PlannedLine, ...]
    warnings: tuple[str, ...]


def size_batch(ask: BatchAsk, *, workshop: Workshop, rules: WeighRules | None = None) -> SizedBatch:
    """Work one batch out to the gram. Raises BatchRefusal with the mend when it cannot be made as asked.

    Whoever sizes several hands in the ``rules``, so that the list of scales is read once.
    """
    if not ask.revision.is_approved:
        raise BatchRefusal(
            f"{ask.revision} is not approved, so no batch may be made from it. Approve the formula first."
        )
    try:
        return _sized(ask, workshop, rules or WeighRules.with_scales(workshop))
    except (MoldError, PortionError, FinishError, WeighingError) as refusal:
        raise BatchRefusal(str(refusal)) from refusal


def _sized(ask: BatchAsk, workshop: Workshop, rules: WeighRules) -> SizedBatch:
    rows, drops = drawing_rows(ask.design), drawing_drops(ask.design)
    scented = _scented_fraction(ask.design)
    scale = _scaled(ask, scented, jugs=len(portion_shares(rows, drops)), workshop=workshop)
    oils_grams = scale.oils_grams * ask.filled_fraction
    spec, result = weighable(ask.revision, oils_grams, scented=scented, workshop=workshop)
    jugs = portion_plan(rows, BatterMade.of(result), drops=drops)
    check_held_back(ask.design, jugs, spec)
    lines = weigh_lines(ask.revision, ask.design, spec, result, jugs, rules)
    groups = finish_groups(ask.ordered_bars, ask.wants) if ask.ordered_bars else ()
    plan = freeze_plan(ask, result, jugs, lines, groups, workshop)
    warnings = (*(warning for jug in jugs for warning in jug.warnings), *_bench_warnings(plan))
    asks = tuple(f"{finding.text} {finding.mend}".strip() for finding in result.findings if finding.level != "note")
    return SizedBatch(plan=plan, lines=lines, warnings=(*asks, *warnings))


def _bench_warnings(plan: FrozenPlan) -> tuple[str, ...]:
    """Return what to settle before the pour. Raises BatchRefusal where a part would melt."""
    findings = bench_findings(plan)
    for finding in findings:
        if finding.level == "stop":
            raise BatchRefusal(f"{finding.text} {finding.mend}")
    return tuple(f"{finding.text} {finding.mend}" for finding in findings)


def _scaled(ask: BatchAsk, scented: Decimal, *, jugs: int, workshop: Workshop) -> ScalePlan:
    """Return the size that fills the molds; jugs without scent leave its volume out."""
    least = workshop.least_superfat_percent
    reckoning = reckon_revision(ask.revision, oils_grams=KILOGRAM, least_superfat_percent=least)
    doses = formula_doses(ask.revision.lines.all(), reckoning.result)
    stops = (*reckoning.stops, *(finding for finding in doses.findings if finding.level == "stop"))
    if stops:
        raise BatchRefusal(f"{stops[0].text} {stops[0].mend}".strip())
    result = None if reckoning.spec is None else compute_formula(_with_scent(reckoning.spec, scented))
    size = batter_size(ask.revision, result)
    return scale_to_mold_volume(
        size,
        mold_of(ask.mold),
        molds=ask.mold_count,
        headroom_fraction=ask.mold.headroom_percent / HUNDRED,
        vessel_loss_fraction=USUAL_VESSEL_LOSS_FRACTION * jugs,
        stirred_in_fraction=stirred_in_fraction(drawing_rows(ask.design), drawing_drops(ask.design)),
        own_fill=own_fill(ask.revision),
    )


def weighable(
    revision: FormulaRevision, oils_grams: Decimal, *, scented: Decimal = Decimal(1), workshop: Workshop
) -> tuple[FormulaSpec, FormulaResult]:
    """Round every dose to its scale, lye down, and work the formula out again from what will be weighed."""
    rules = WeighRules.of(workshop)
    reckoning = reckon_revision(revision, oils_grams=oils_grams, least_superfat_percent=workshop.least_superfat_percent)
    if reckoning.spec is None:
        raise BatchRefusal(f"{reckoning.stops[0].text} {reckoning.stops[0].mend}".strip())
    smelling = _with_scent(reckoning.spec, scented)
    spec = replace(
        smelling,
        fats=tuple(replace(fat, grams=round_to_step(fat.grams, rules.fat_step)) for fat in smelling.fats),
        additives=tuple(replace(item, grams=round_to_step(item.grams, rules.dose_step)) for item in smelling.additives),
    )
    first = compute_formula(spec)
    grams = {"NaOH": first.naoh_grams, "KOH": first.koh_grams}
    if first.stops or not first.is_computed:
        raise BatchRefusal(f"{first.stops[0].text} {first.stops[0].mend}".strip())
    weighed = replace(
        spec,
        superfat_fraction=None,
        alkalis=tuple(
            replace(item, grams=round_to_step(known(grams[item.kind]), rules.lye_step, kind="lye"))
            for item in spec.alkalis
        ),
    )
    result = compute_formula(weighed)
    if result.stops:
        raise BatchRefusal(f"{result.stops[0].text} {result.stops[0].mend}".strip())
    return weighed, result


def _with_scent(spec: FormulaSpec, scented: Decimal) -> FormulaSpec:
    """Return the formula with scent for that share of the batter only."""
    additives = (replace(item, grams=item.grams * scented) if item.is_scent else item for item in spec.additives)
    return replace(spec, additives=tuple(additives))


def _scented_fraction(design: Design) -> Decimal:
    """Return the share of the batter that gets scent: by the areas of the jugs that are scented."""
    rows, drops = drawing_rows(design), drawing_drops(design)
    shares = portion_shares(rows, drops)
    unscented = {letter for letter, jug in jug_specs(rows, drops).items() if not jug.scented}
    return sum((share for letter, share in shares.items() if letter not in unscented), Decimal(0)) / sum(
        shares.values(), Decimal(0)
    )
