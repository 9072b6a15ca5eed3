"""What no plan can better: for each line the first day it could be packed were it alone, and the late days that costs.

These are bounds, not guesses: every limit left out here only makes a plan easier. Pinned batches and open days count.
"""

from dataclasses import dataclass

from production.planning.load import FAR, Load
from production.planning.plan_records import (
    POUR,
    RELEASE,
    MoldYield,
    PlanDesign,
    PlanInput,
    PlanLine,
    PlanStep,
    minutes_of,
)


@dataclass(frozen=True)
class Earliest:
    """Days from today: the first release of a new or movable batch by design, the first packing by line."""

    release: dict[str, int]
    pack: dict[str, int]


def earliest_days(asked: PlanInput) -> Earliest:
    load = Load(asked)
    release = {design.key: _first_release(load, design) for design in asked.designs}
    return Earliest(release, {line.key: _first_pack(load, line, release) for line in asked.lines})


def least_late_days(asked: PlanInput, earliest: Earliest | None = None) -> int:
    """Return weighted late days that no plan can avoid; a line that no day fits counts nothing here."""
    found = earliest or earliest_days(asked)
    return sum(
        line.weight * max(0, found.pack[line.key] + 1 - (line.due_on - asked.today).days)
        for line in asked.lines
        if found.pack[line.key] < FAR
    )


def _first_release(load: Load, design: PlanDesign) -> int:
    """The first day a batch that may still be placed can be released, whatever its way of filling."""
    planned = {each.mold for each in load.asked.movable if each.design == design.key}
    ways = [*load.usable_ways(design), *(way for way in design.yields if way.mold in planned)]
    return min((_release_of(load, design, way) for way in ways), default=FAR)


def _release_of(load: Load, design: PlanDesign, way: MoldYield) -> int:
    """Try each pour day: every step must find a day by itself in its window."""
    for pour in load.open_days:
        if load.refusal_at_once(design, way, pour):
            continue
        spans = _windows(load, design.steps, way, pour)
        if spans is not None:
            return spans[RELEASE][0]
    return FAR


def _windows(load: Load, steps: tuple[PlanStep, ...], way: MoldYield, pour: int) -> dict[str, tuple[int, int]] | None:
    """First and last day of every step of this pour, each looked at alone; None when one of them has no day."""
    found: dict[str, tuple[int, int]] = {POUR: (pour, pour)}
    waiting = [step for step in steps if step.key != POUR]
    if load.minutes[pour] < sum(minutes_of(step, way.gross_bars) for step in steps if step.key == POUR):
        return None
    while waiting:
        step = next(step for step in waiting if step.anchor in found)
        waiting.remove(step)
        first = found[step.anchor][0] + step.least_days
        last = FAR if step.most_days is None else found[step.anchor][1] + step.most_days
        minutes = minutes_of(step, way.gross_bars)
        days = [day for day in load.open_days if first <= day <= last and load.minutes[day] >= minutes]
        if not days:
            return None
        found[step.key] = (days[0], days[-1])
    return found


def _first_pack(load: Load, line: PlanLine, release: dict[str, int]) -> int:
    """The day enough bars can be there: from what exists and is nobody else's, or from the first new batch on."""
    for_others = {
        key: sum(share.bars for share in load.asked.reserved if share.source == key and share.line != line.key)
        for key in {share.source for share in load.asked.reserved}
    }
    there = [
        (max(load.number(lot.ready_on), 0), lot.bars - for_others.get(lot.key, 0))
        for lot in load.asked.stock
        if lot.fits(line)
    ]
    there += [
        (max(load.number(each.on(RELEASE)), 0), load.yield_of(each).net_bars - for_others.get(each.key, 0))
        for each in load.asked.fixed
        if each.design == line.design
    ]
    ready, found = FAR, 0
    for day, bars in sorted(there):
        found += max(bars, 0)
        if found >= line.bars:
            ready = day
            break
    ready = min(ready, release.get(line.design, FAR))
    own = [share.source for share in load.asked.reserved if share.line == line.key]
    held = [load.number(each.on(RELEASE)) for each in load.asked.fixed if each.key in own]
    held += [load.number(lot.ready_on) for lot in load.asked.stock if lot.key in own]
    held += [release.get(each.design, FAR) for each in load.asked.movable if each.key in own]
    minutes = -(-load.designs[line.design].pack_tenths_per_bar * line.bars // 10)
    first = max([ready, *held])
    return next((day for day in load.open_days if day >= first and load.minutes[day] >= minutes), FAR)
