"""A design as the planner sees it: its ways of filling, its steps with their windows, its minutes."""

from collections.abc import Iterable
from decimal import ROUND_CEILING, Decimal

from formulas.geometry import MoldError
from formulas.models import Design, FormulaRevision, Mold
from formulas.spares import bars_with_spares
from production.batches.models import Batch
from production.batches.pots import bars_from_one_pot
from production.batches.schedule import route_of
from production.planning.plan_records import CUT, POUR, RELEASE, MoldYield, PlanDesign, PlanStep
from production.planning.route import HAND_OVER, LABEL, PACK, RouteStep
from soapshop.models import Workshop

AFTER_RELEASE = (LABEL, PACK, HAND_OVER)


def net_bars(gross: int, workshop: Workshop) -> int:
    """Return the most bars that may be promised from so many, spares kept back."""
    percent, least = workshop.bar_spare_percent, workshop.bar_spare_least
    return next(
        (bars for bars in range(gross, 0, -1) if bars_with_spares(bars, percent=percent, least=least) <= gross), 0
    )


def new_ways(mold: Mold, workshop: Workshop, pot_liters: Decimal | None = None) -> tuple[MoldYield, ...]:
    """Return each way of filling for a new batch: one mold, two of them, as many as the shop owns and a pot fills."""
    if mold.is_shelved:
        return ()
    try:
        most_bars = bars_from_one_pot(mold, pot_liters)
    except MoldError:
        return ()
    return tuple(
        MoldYield(f"{filled} × {mold.name}", filled * mold.usable_bars, net, mold.box_name, filled)
        for filled in range(1, mold.owned + 1)
        if (most_bars is None or filled * mold.usable_bars <= most_bars)
        and (net := net_bars(filled * mold.usable_bars, workshop))
    )


def batch_way(batch: Batch, promised: int) -> MoldYield:
    """Return the way a batch is made. Only what it is planned for is promised; the rest is known at the count."""
    return MoldYield(
        batch.number,
        max(batch.bars_cut or batch.planned_bars, promised, 1),
        promised,
        batch.mold.box_name,
        batch.mold_count,
        is_for_new=False,
    )


def plan_design(
    row: Design,
    revision: FormulaRevision | None,
    workshop: Workshop,
    *,
    own: tuple[MoldYield, ...],
    uses: tuple[tuple[str, int], ...],
    pot_liters: Decimal | None = None,
) -> PlanDesign:
    """Return the design with its new ways (only when its formula is approved) and those of its batches."""
    route = route_of(row)
    cure = revision.cure_days if revision else workshop.cure_days
    ways = new_ways(row.mold, workshop, pot_liters) if revision else ()
    return PlanDesign(row.name, (*ways, *own), tuple(plan_steps(route, cure)), uses, pack_tenths(route))


def pack_tenths(route: Iterable[RouteStep]) -> int:
    """Return what labeling and packing one bar takes, in tenths of a minute."""
    return sum(_tenths(step.minutes_per_bar) for step in route if step.key in (LABEL, PACK))


def plan_steps(route: Iterable[RouteStep], cure_days: int) -> list[PlanStep]:
    """Return the steps that bind, each counted from a step that is there; pour, cut and release always are."""
    by_key = {step.key: step for step in route}
    pour, cut, release = (by_key.get(key) for key in (POUR, CUT, RELEASE))
    found = [
        PlanStep(POUR, POUR, 0, 0, *_minutes(pour)),
        PlanStep(CUT, POUR, cut.least_days if cut else 1, cut.most_days if cut else 2, *_minutes(cut)),
        PlanStep(RELEASE, POUR, cure_days, None, *_minutes(release)),
    ]
    kept = {POUR, CUT, RELEASE}
    waiting = [
        step
        for step in by_key.values()
        if step.key not in kept and step.key not in AFTER_RELEASE and step.binds and not step.every_days
    ]
    while ready := [step for step in waiting if step.anchor in kept]:
        found += [PlanStep(each.key, each.anchor, each.least_days, each.most_days, *_minutes(each)) for each in ready]
        kept |= {step.key for step in ready}
        waiting = [step for step in waiting if step.key not in kept]
    return found


def _minutes(step: RouteStep | None) -> tuple[int, int]:
    if step is None or not step.needs_person:
        return 0, 0
    return step.fixed_minutes, _tenths(step.minutes_per_bar)


def _tenths(minutes: Decimal) -> int:
    return int((minutes * 10).to_integral_value(rounding=ROUND_CEILING))
