"""The day that can be promised for so many bars: from free bars, with nothing moved, or by moving others."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

from production.planning.engine import plan
from production.planning.plan_answer import Budget, PlanStatus
from production.planning.plan_check import moves
from production.planning.plan_records import (
    ANY_FINISH,
    POUR,
    RELEASE,
    MoldYield,
    Plan,
    PlanDesign,
    PlanInput,
    PlanLine,
    PlanStock,
)

ENQUIRY = "enquiry"
FREE, PINNED, MOVABLE = "free", "pinned", "movable"
# Packed by everybody else on the day planned now: one late day of theirs outweighs any gain of the enquiry.
OTHERS_WEIGHT = 10_000


@dataclass(frozen=True)
class Promise:
    """A day the bars can be packed, before the workshop's own buffer; `pours` are the new pours it needs."""

    source: str
    ready_on: date
    pours: tuple[date, ...] = ()
    moved: tuple[str, ...] = ()
    is_proven: bool = False


def promise_from_free_bars(asked: PlanInput, current: Plan, enquiry: PlanLine) -> Promise | None:
    """Return the day on which enough bars that nobody ordered are there, or None."""
    found, ready = 0, asked.today
    for lot in _free_bars(asked, current):
        if not lot.fits(enquiry) or (lot.use_by is not None and lot.use_by < max(ready, lot.ready_on)):
            continue
        found, ready = found + lot.bars, max(ready, lot.ready_on)
        if found >= enquiry.bars:
            return Promise(FREE, _first_open(asked, ready), is_proven=True)
    return None


def promise_with_nothing_moved(asked: PlanInput, current: Plan, enquiry: PlanLine, budget: Budget) -> Promise | None:
    """Return the earliest day with every planned batch and packing where it is."""
    alone = _enquiry_alone(asked, current, enquiry)
    answer = plan(alone, budget)
    if answer.status in (PlanStatus.INCOMPLETE, PlanStatus.BAD_INPUT):
        return None
    ready = dict(answer.plan.packs)[ENQUIRY]
    known = {each.key for each in alone.fixed}
    pours = tuple(sorted(each.on(POUR) for each in answer.plan.batches if each.key not in known))
    return Promise(PINNED, ready, pours, is_proven=bool(answer.levels) and answer.levels[0].is_proven)


def promise_with_moves(asked: PlanInput, current: Plan, enquiry: PlanLine, budget: Budget) -> Promise | None:
    """Return an earlier day that other batches could make room for, with no accepted order later than it is now."""
    packed = dict(current.packs)
    others = tuple(
        replace(line, due_on=max(line.due_on, packed[line.key] + timedelta(days=1)), weight=OTHERS_WEIGHT)
        for line in asked.lines
        if line.key in packed
    )
    mine = replace(enquiry, key=ENQUIRY, due_on=asked.today, weight=1)
    answer = plan(replace(asked, lines=(*others, mine)), budget)
    if answer.status in (PlanStatus.INCOMPLETE, PlanStatus.BAD_INPUT) or answer.score.late_days >= OTHERS_WEIGHT:
        return None
    mine_from = {share.source for share in answer.plan.shares if share.line == ENQUIRY}
    known = {each.key for each in (*asked.fixed, *asked.movable)}
    pours = sorted(each.on(POUR) for each in answer.plan.batches if each.key in mine_from - known)
    ready = dict(answer.plan.packs)[ENQUIRY]
    return Promise(MOVABLE, ready, tuple(pours), moves(asked, answer.plan), answer.levels[0].is_proven)


def _first_open(asked: PlanInput, day: date) -> date:
    return min((each.day for each in asked.bench if each.day >= day and each.minutes > 0), default=day)


def _free_bars(asked: PlanInput, current: Plan) -> list[PlanStock]:
    """Bars of stock and of all planned batches that no line gets, first ready first."""
    given = dict.fromkeys([lot.key for lot in asked.stock] + [each.key for each in current.batches], 0)
    for share in current.shares:
        given[share.source] = given.get(share.source, 0) + share.bars
    lots = [replace(lot, bars=lot.bars - given[lot.key]) for lot in asked.stock]
    for batch in current.batches:
        net = next(
            way.net_bars
            for design in asked.designs
            if design.key == batch.design
            for way in design.yields
            if way.mold == batch.mold
        )
        left = net - given[batch.key]
        lots.append(PlanStock(f"left of {batch.key}", batch.design, left, batch.on(RELEASE), finish=ANY_FINISH))
    return sorted((lot for lot in lots if lot.bars > 0), key=lambda lot: (lot.ready_on, lot.key))


def _enquiry_alone(asked: PlanInput, current: Plan, enquiry: PlanLine) -> PlanInput:
    """The same shop with the current plan as a given: its batches take room, and only what they leave is free."""
    packing = {design.key: design.pack_tenths_per_bar for design in asked.designs}
    by_line = {line.key: line for line in asked.lines}
    spent: dict[date, int] = {}
    for key, day in current.packs:
        line = by_line[key]
        spent[day] = spent.get(day, 0) - (-packing[line.design] * line.bars // 10)
    return replace(
        asked,
        bench=tuple(replace(each, minutes=max(each.minutes - spent.get(each.day, 0), 0)) for each in asked.bench),
        designs=tuple(_with_promised_ways(design) for design in asked.designs),
        lines=(replace(enquiry, key=ENQUIRY, due_on=asked.today, weight=1),),
        stock=tuple(_free_bars(asked, current)),
        fixed=tuple(replace(each, key=_promised(each.key), mold=_promised(each.mold)) for each in current.batches),
        movable=(),
        reserved=(),
    )


def _promised(mold: str) -> str:
    return f"{mold}, all promised"


def _with_promised_ways(design: PlanDesign) -> PlanDesign:
    """Add each way of filling once more without bars to give; what it leaves free is counted as stock."""
    promised = tuple(
        MoldYield(_promised(way.mold), way.gross_bars, 0, way.mold_type, way.filled, is_for_new=False)
        for way in design.yields
    )
    return replace(design, yields=(*design.yields, *promised))
