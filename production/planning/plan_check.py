"""Check a plan against every rule, with loops of its own: it shares no reckoning with whatever made the plan."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date, timedelta

from production.planning.plan_records import (
    ANY_FINISH,
    CUT,
    POUR,
    RELEASE,
    MoldYield,
    Plan,
    PlanInput,
    PlannedBatch,
    PlanProblem,
    Score,
)


def check(asked: PlanInput, plan: Plan) -> tuple[PlanProblem, ...]:
    """Return every rule the plan breaks; empty when it can be worked as it stands."""
    incomplete = tuple(_steps_left_out(asked, plan))
    if incomplete:
        return incomplete
    return (
        *_pinned(asked, plan),
        *_planned_already(asked, plan),
        *_windows(asked, plan),
        *_bench(asked, plan),
        *_molds_and_rack(asked, plan),
        *_supplies(asked, plan),
        *_bars(asked, plan),
        *_packing(asked, plan),
    )


def score(asked: PlanInput, plan: Plan) -> Score:
    """Weighted late days, new batches, bars nobody asked for, and days away from the wished release.

    Days that bars lie on the rack longer than they must count like days away from it.
    """
    packed = dict(plan.packs)
    late = sum(
        line.weight * max(0, (packed[line.key] - line.due_on).days + 1) for line in asked.lines if line.key in packed
    )
    known = {batch.key for batch in (*asked.fixed, *asked.movable)}
    fresh = [batch for batch in plan.batches if batch.key not in known]
    made = {batch.key for batch in fresh}
    given = sum(share.bars for share in plan.shares if share.source in made)
    fixed = {batch.key for batch in asked.fixed}
    due = {line.key: line.due_on for line in asked.lines}
    first_due: dict[str, date] = {}
    for share in plan.shares:
        if share.line in due:
            first_due[share.source] = min(first_due.get(share.source, date.max), due[share.line])
    off = 0
    for batch in plan.batches:
        if batch.key not in fixed and batch.key in first_due:
            off += abs((first_due[batch.key] - timedelta(days=asked.buffer_days) - batch.on(RELEASE)).days)
            off += _days_longer(asked, batch)
    return Score(late, len(fresh), sum(_net(asked, batch) for batch in fresh) - given, off)


def _days_longer(asked: PlanInput, batch: PlannedBatch) -> int:
    """Days the bars stay on the rack beyond the least they must."""
    design = next(design for design in asked.designs if design.key == batch.design)
    release = next(step for step in design.steps if step.key == RELEASE)
    return (batch.on(RELEASE) - batch.on(release.anchor)).days - release.least_days


def moves(asked: PlanInput, plan: Plan) -> tuple[str, ...]:
    """Return the planned batches that get another day for any of their steps."""
    days = {batch.key: batch.days for batch in plan.batches}
    return tuple(each.key for each in asked.movable if each.key in days and set(days[each.key]) != set(each.days))


def _way(asked: PlanInput, batch: PlannedBatch) -> MoldYield:
    return next(
        each
        for design in asked.designs
        if design.key == batch.design
        for each in design.yields
        if each.mold == batch.mold
    )


def _net(asked: PlanInput, batch: PlannedBatch) -> int:
    return _way(asked, batch).net_bars


def _gross(asked: PlanInput, batch: PlannedBatch) -> int:
    return _way(asked, batch).gross_bars


def _steps_left_out(asked: PlanInput, plan: Plan) -> Iterator[PlanProblem]:
    steps = {design.key: [step.key for step in design.steps] for design in asked.designs}
    for batch in plan.batches:
        for key in steps[batch.design]:
            if key not in dict(batch.days):
                yield PlanProblem("missing_step", f"{batch.key} has no day for {key}.")


def _pinned(asked: PlanInput, plan: Plan) -> Iterator[PlanProblem]:
    for batch in asked.fixed:
        if batch not in plan.batches:
            yield PlanProblem("moved", f"Batch {batch.key} is started or pinned, but it was moved.")


def _planned_already(asked: PlanInput, plan: Plan) -> Iterator[PlanProblem]:
    kept = {(batch.key, batch.design, batch.mold) for batch in plan.batches}
    for batch in asked.movable:
        if (batch.key, batch.design, batch.mold) not in kept:
            yield PlanProblem("dropped", f"Batch {batch.key} is planned, but the plan leaves it out.")
    for held in asked.reserved:
        given = sum(s.bars for s in plan.shares if (s.line, s.source) == (held.line, held.source))
        if given < held.bars:
            yield PlanProblem("reserved", f"{held.bars} bars of {held.source} belong to {held.line}.")


def _windows(asked: PlanInput, plan: Plan) -> Iterator[PlanProblem]:
    steps = {design.key: design.steps for design in asked.designs}
    pinned = {batch.key for batch in asked.fixed}
    open_days = {each.day for each in asked.bench}
    for batch in plan.batches:
        if batch.key in pinned:
            continue
        days = dict(batch.days)
        for step in steps[batch.design]:
            lag = (days[step.key] - days[step.anchor]).days
            if lag < step.least_days or (step.most_days is not None and lag > step.most_days):
                yield PlanProblem("window", f"{step.key} of {batch.key} is {lag} days after {step.anchor}.")
            if days[step.key] not in open_days or days[step.key] < asked.today:
                yield PlanProblem("closed", f"{step.key} of {batch.key} falls on a day nobody works.")


def _bench(asked: PlanInput, plan: Plan) -> Iterator[PlanProblem]:
    """What pinned batches overdraw alone is no fault of the plan, but nothing may be added on top of it."""
    spent: dict[date, int] = defaultdict(int)
    pours: dict[date, int] = defaultdict(int)
    pinned_minutes: dict[date, int] = defaultdict(int)
    pinned_pours: dict[date, int] = defaultdict(int)
    designs = {design.key: design for design in asked.designs}
    for batch in plan.batches:
        bars = _gross(asked, batch)
        is_pinned = batch in asked.fixed
        pours[batch.on(POUR)] += 1
        pinned_pours[batch.on(POUR)] += is_pinned
        for step in designs[batch.design].steps:
            minutes = step.fixed_minutes + (step.tenths_per_bar * bars + 9) // 10
            spent[dict(batch.days)[step.key]] += minutes
            pinned_minutes[dict(batch.days)[step.key]] += minutes * is_pinned
    for line in asked.lines:
        if line.key in dict(plan.packs):
            spent[dict(plan.packs)[line.key]] += (designs[line.design].pack_tenths_per_bar * line.bars + 9) // 10
    there = {each.day: each.minutes for each in asked.bench}
    for day, minutes in sorted(spent.items()):
        if day >= asked.today and minutes > max(there.get(day, 0), pinned_minutes[day]):
            yield PlanProblem("bench", f"{day} asks for {minutes} minutes; there are {there.get(day, 0)}.")
    for day, count in sorted(pours.items()):
        if day >= asked.today and count > max(asked.pours_per_day, pinned_pours[day]):
            yield PlanProblem("pours", f"{day} has {count} pours; {asked.pours_per_day} can be done.")


def _molds_and_rack(asked: PlanInput, plan: Plan) -> Iterator[PlanProblem]:
    last = max((batch.on(RELEASE) for batch in plan.batches), default=asked.today)
    for ahead in range((last - asked.today).days + 1):
        day = asked.today + timedelta(days=ahead)
        for mold, owned in asked.molds:
            used, pinned = (_molds_used(asked, batches, mold, day) for batches in (plan.batches, asked.fixed))
            if used > max(owned, pinned):
                yield PlanProblem("mold", f"{day} needs {used} of the mold {mold}; there are {owned}.")
        curing, pinned = (
            sum(_gross(asked, each) for each in batches if each.on(CUT) <= day < each.on(RELEASE))
            for batches in (plan.batches, asked.fixed)
        )
        if curing > max(asked.rack_bars, pinned):
            yield PlanProblem("rack", f"{day} has {curing} bars on the rack; it holds {asked.rack_bars}.")


def _molds_used(asked: PlanInput, batches: tuple[PlannedBatch, ...], mold: str, day: date) -> int:
    return sum(
        _way(asked, each).filled
        for each in batches
        if each.on(POUR) <= day < each.on(CUT) and _way(asked, each).mold_type == mold
    )


def _supplies(asked: PlanInput, plan: Plan) -> Iterator[PlanProblem]:
    uses = {design.key: dict(design.uses) for design in asked.designs}

    def drawn(batches: tuple[PlannedBatch, ...], ingredient: str, until: date) -> int:
        return sum(
            uses[batch.design].get(ingredient, 0) * _gross(asked, batch)
            for batch in batches
            if asked.today <= batch.on(POUR) <= until
        )

    for supply in asked.supplies:
        for day in sorted({batch.on(POUR) for batch in plan.batches if batch.on(POUR) >= asked.today}):
            there = supply.on_hand_mg + sum(amount for on, amount in supply.deliveries if on <= day)
            pinned = drawn(asked.fixed, supply.ingredient, day)
            if drawn(plan.batches, supply.ingredient, day) > max(there, pinned):
                yield PlanProblem("supply", f"{supply.ingredient} runs short on {day}.")


def _bars(asked: PlanInput, plan: Plan) -> Iterator[PlanProblem]:
    holds = {batch.key: _net(asked, batch) for batch in plan.batches} | {lot.key: lot.bars for lot in asked.stock}
    kinds = {batch.key: batch.design for batch in plan.batches} | {lot.key: lot.design for lot in asked.stock}
    wanted = {line.key: line.design for line in asked.lines}
    on_the_bar = {lot.key: lot.finish for lot in asked.stock}
    finishes = {line.key: line.finish for line in asked.lines}
    for key in {share.source for share in plan.shares}:
        given = sum(share.bars for share in plan.shares if share.source == key)
        if given > holds.get(key, 0):
            yield PlanProblem("too_many", f"{key} gives {given} bars and has {holds.get(key, 0)}.")
    for share in plan.shares:
        if share.bars < 1 or kinds.get(share.source) != wanted.get(share.line):
            yield PlanProblem("kind", f"{share.source} cannot serve {share.line}.")
        elif on_the_bar.get(share.source) not in (None, ANY_FINISH, finishes[share.line]):
            yield PlanProblem("finish", f"{share.source} is finished otherwise than {share.line} asks.")
    for line in asked.lines:
        got = sum(share.bars for share in plan.shares if share.line == line.key)
        if got != line.bars:
            yield PlanProblem("unmet", f"{line.key} gets {got} of {line.bars} bars.")


def _packing(asked: PlanInput, plan: Plan) -> Iterator[PlanProblem]:
    packed, open_days = dict(plan.packs), {each.day for each in asked.bench}
    ready = {batch.key: batch.on(RELEASE) for batch in plan.batches} | {lot.key: lot.ready_on for lot in asked.stock}
    use_by = {lot.key: lot.use_by for lot in asked.stock}
    for line in asked.lines:
        if line.key not in packed:
            yield PlanProblem("not_packed", f"{line.key} has no packing day.")
            continue
        day = packed[line.key]
        if day not in open_days or day < asked.today:
            yield PlanProblem("closed", f"{line.key} is packed on a day nobody works.")
        for share in plan.shares:
            if share.line != line.key or share.source not in ready:
                continue
            last = use_by.get(share.source)
            if day < ready[share.source] or (last is not None and day > last):
                yield PlanProblem("not_ready", f"{line.key} is packed when bars of {share.source} cannot be.")
