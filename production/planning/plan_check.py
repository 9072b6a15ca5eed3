"""Check a plan against every rule, with loops of its own: it shares no reckoning with whatever made the plan."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date, timedelta

from production.planning.plan_records import CUT, POUR, RELEASE, Plan, PlanInput, PlannedBatch, PlanProblem, Score


def check(asked: PlanInput, plan: Plan) -> tuple[PlanProblem, ...]:
    """Return every rule the plan breaks; empty when it can be worked as it stands."""
    incomplete = tuple(_steps_left_out(asked, plan))
    if incomplete:
        return incomplete
    return (
        *_pinned(asked, plan),
        *_windows(asked, plan),
        *_bench(asked, plan),
        *_molds_and_rack(asked, plan),
        *_supplies(asked, plan),
        *_bars(asked, plan),
        *_packing(asked, plan),
    )


def score(asked: PlanInput, plan: Plan) -> Score:
    """Weighted late days, new batches, bars nobody asked for, and days away from the wished release."""
    packed = dict(plan.packs)
    late = sum(
        line.weight * max(0, (packed[line.key] - line.due_on).days + 1) for line in asked.lines if line.key in packed
    )
    fixed = {batch.key for batch in asked.fixed}
    fresh = [batch for batch in plan.batches if batch.key not in fixed]
    given = sum(share.bars for share in plan.shares if share.source in {batch.key for batch in fresh})
    off = 0
    for batch in fresh:
        served = {share.line for share in plan.shares if share.source == batch.key}
        dues = [line.due_on for line in asked.lines if line.key in served]
        if dues:
            off += abs((min(dues) - timedelta(days=asked.buffer_days) - batch.on(RELEASE)).days)
    return Score(late, len(fresh), sum(_net(asked, batch) for batch in fresh) - given, off)


def _net(asked: PlanInput, batch: PlannedBatch) -> int:
    return next(
        each.net_bars
        for design in asked.designs
        if design.key == batch.design
        for each in design.yields
        if each.mold == batch.mold
    )


def _gross(asked: PlanInput, batch: PlannedBatch) -> int:
    return next(
        each.gross_bars
        for design in asked.designs
        if design.key == batch.design
        for each in design.yields
        if each.mold == batch.mold
    )


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
    spent: dict[date, int] = defaultdict(int)
    pours: dict[date, int] = defaultdict(int)
    designs = {design.key: design for design in asked.designs}
    for batch in plan.batches:
        bars = _gross(asked, batch)
        pours[batch.on(POUR)] += 1
        for step in designs[batch.design].steps:
            tenths = step.tenths_per_bar * bars
            spent[dict(batch.days)[step.key]] += step.fixed_minutes + (tenths + 9) // 10
    for line in asked.lines:
        if line.key in dict(plan.packs):
            spent[dict(plan.packs)[line.key]] += (designs[line.design].pack_tenths_per_bar * line.bars + 9) // 10
    there = {each.day: each.minutes for each in asked.bench}
    for day, minutes in sorted(spent.items()):
        if day >= asked.today and minutes > there.get(day, 0):
            yield PlanProblem("bench", f"{day} asks for {minutes} minutes; there are {there.get(day, 0)}.")
    for day, count in sorted(pours.items()):
        if day >= asked.today and count > asked.pours_per_day:
            yield PlanProblem("pours", f"{day} has {count} pours; {asked.pours_per_day} can be done.")


def _molds_and_rack(asked: PlanInput, plan: Plan) -> Iterator[PlanProblem]:
    last = max((batch.on(RELEASE) for batch in plan.batches), default=asked.today)
    for ahead in range((last - asked.today).days + 1):
        day = asked.today + timedelta(days=ahead)
        for mold, owned in asked.molds:
            used = sum(1 for each in plan.batches if each.mold == mold and each.on(POUR) <= day < each.on(CUT))
            if used > owned:
                yield PlanProblem("mold", f"{day} needs {used} of the mold {mold}; there are {owned}.")
        curing = sum(_gross(asked, each) for each in plan.batches if each.on(CUT) <= day < each.on(RELEASE))
        if curing > asked.rack_bars:
            yield PlanProblem("rack", f"{day} has {curing} bars on the rack; it holds {asked.rack_bars}.")


def _supplies(asked: PlanInput, plan: Plan) -> Iterator[PlanProblem]:
    uses = {design.key: dict(design.uses) for design in asked.designs}
    poured = [batch for batch in plan.batches if batch.on(POUR) >= asked.today]
    for supply in asked.supplies:
        for day in sorted({batch.on(POUR) for batch in poured}):
            needed = sum(
                uses[batch.design].get(supply.ingredient, 0) * _gross(asked, batch)
                for batch in poured
                if batch.on(POUR) <= day
            )
            there = supply.on_hand_mg + sum(amount for on, amount in supply.deliveries if on <= day)
            if needed > there:
                yield PlanProblem("supply", f"{supply.ingredient} runs short on {day}.")


def _bars(asked: PlanInput, plan: Plan) -> Iterator[PlanProblem]:
    holds = {batch.key: _net(asked, batch) for batch in plan.batches} | {lot.key: lot.bars for lot in asked.stock}
    kinds = {batch.key: batch.design for batch in plan.batches} | {lot.key: lot.design for lot in asked.stock}
    wanted = {line.key: line.design for line in asked.lines}
    for key in {share.source for share in plan.shares}:
        given = sum(share.bars for share in plan.shares if share.source == key)
        if given > holds.get(key, 0):
            yield PlanProblem("too_many", f"{key} gives {given} bars and has {holds.get(key, 0)}.")
    for share in plan.shares:
        if share.bars < 1 or kinds.get(share.source) != wanted.get(share.line):
            yield PlanProblem("kind", f"{share.source} cannot serve {share.line}.")
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
