"""A plan at once, without a solver: bars to lines by due day, batches placed backward from the day they are wished.

Several variants are built (how early a release is wished) and the best by the common score is returned. It is a good
plan, never called the best there can be.
"""

from collections import Counter
from datetime import date, timedelta

from production.planning.drafts import AS_SOON_AS_CAN_BE, SHARED_POUR_DAYS, Draft, batch_of, group, place
from production.planning.load import Load
from production.planning.plan_check import score
from production.planning.plan_records import (
    ANY_FINISH,
    RELEASE,
    Plan,
    PlanInput,
    PlanLine,
    PlannedBatch,
    PlanProblem,
    PlanResult,
    Share,
)

WORDS = {
    "pours": "the pours a day",
    "mold": "the mold",
    "rack": "the rack",
    "ingredient": "an ingredient",
    "bench": "bench time",
}


def list_schedule(asked: PlanInput) -> PlanResult:
    """Return the best of a few quick plans; the input must have passed `validate`."""
    wished = (asked.buffer_days, 0, asked.buffer_days + 7, AS_SOON_AS_CAN_BE)
    return min((_build(asked, days, tight_first=tight) for tight in (True, False) for days in wished), key=rank)


def rank(result: PlanResult) -> tuple[int, tuple[int, int, int]]:
    return len(result.unplaced), result.score.order


def _build(asked: PlanInput, buffer_days: int, *, tight_first: bool) -> PlanResult:
    load = Load(asked)
    lines = sorted(asked.lines, key=lambda line: (line.due_on, -line.weight, line.key))
    shares, missing = _from_what_exists(asked, load, lines)
    drafts = _planned_drafts(asked, load, lines) + _new_drafts(load, lines, missing)
    batches, unplaced = list(asked.fixed), []
    drafts.sort(key=lambda draft: (draft.start_by, draft.key), reverse=not tight_first)
    for draft in drafts:
        causes = place(load, draft, buffer_days)
        if draft.days is None:
            unplaced += [_problem(line.key, causes) for line, _ in draft.serves] or [_problem(draft.key, causes)]
            continue
        batches.append(batch_of(load, draft))
        shares += [Share(line.key, draft.key, bars) for line, bars in draft.serves]
    lost = {problem.code for problem in unplaced}
    shares = [share for share in shares if share.line not in lost]
    packs, unpacked = _packs(asked, load, [line for line in lines if line.key not in lost], shares, batches)
    used = {share.source for share in shares} | {batch.key for batch in (*asked.fixed, *asked.movable)}
    plan = Plan(tuple(batch for batch in batches if batch.key in used), tuple(shares), tuple(packs))
    return PlanResult(plan, score(asked, plan), tuple(dict.fromkeys([*unplaced, *unpacked])))


def _from_what_exists(asked: PlanInput, load: Load, lines: list[PlanLine]) -> tuple[list[Share], dict[str, int]]:
    """Give stock and the bars of fixed batches: all of a line when they cover it, else only what keeps for long."""
    left = {lot.key: lot.bars for lot in asked.stock} | {each.key: load.yield_of(each).net_bars for each in asked.fixed}
    kinds = [(lot.key, (lot.design, lot.finish), lot.ready_on, lot.use_by or date.max) for lot in asked.stock]
    kinds += [(each.key, (each.design, ANY_FINISH), each.on(RELEASE), date.max) for each in asked.fixed]
    kinds.sort(key=lambda kind: (kind[3], kind[2], kind[0]))
    shares, missing = [], {}
    moving = {each.key for each in asked.movable}
    promised: Counter[str] = Counter()
    for share in asked.reserved:
        promised[share.line] += share.bars
        if share.source not in moving:
            left[share.source] -= share.bars
            shares.append(share)
    for line in lines:
        wanted = (line.design, line.finish), (line.design, ANY_FINISH)
        fitting = [kind for kind in kinds if kind[1] in wanted and kind[2] < line.due_on <= kind[3]]
        need = line.bars - promised[line.key]
        if sum(left[kind[0]] for kind in fitting) < need:
            fitting = [kind for kind in fitting if kind[3] == date.max]
        for key, *_ in fitting:
            bars = min(left[key], need)
            if bars:
                left[key] -= bars
                need -= bars
                shares.append(Share(line.key, key, bars))
        missing[line.key] = need
    return shares, missing


def _planned_drafts(asked: PlanInput, load: Load, lines: list[PlanLine]) -> list[Draft]:
    """The batches that are planned already, with the lines they are planned for."""
    by_key = {line.key: line for line in lines}
    drafts = []
    for batch in asked.movable:
        serves = [(by_key[share.line], share.bars) for share in asked.reserved if share.source == batch.key]
        wish = batch.on(RELEASE) + timedelta(days=1 + asked.buffer_days)
        drafts.append(Draft(batch.key, load.designs[batch.design], load.yield_of(batch), serves, wish))
    return drafts


def _new_drafts(load: Load, lines: list[PlanLine], missing: dict[str, int]) -> list[Draft]:
    found: list[Draft] = []
    for design in load.designs.values():
        waiting = [(line, missing[line.key]) for line in lines if line.design == design.key and missing[line.key]]
        found += group(load, design, waiting, SHARED_POUR_DAYS, first=len(found) + 1)
    return found


def _problem(key: str, causes: Counter[str]) -> PlanProblem:
    if not causes:
        return PlanProblem(key, f"{key} has no open day for a pour.", "Open some days, or plan further ahead.")
    cause, days = causes.most_common(1)[0]
    text = f"{key} found no day to pour: {WORDS[cause]} stood in the way on {days} days."
    return PlanProblem(key, text, "Plan further ahead, or make room there.")


def _packs(
    asked: PlanInput, load: Load, lines: list[PlanLine], shares: list[Share], batches: list[PlannedBatch]
) -> tuple[list[tuple[str, date]], list[PlanProblem]]:
    """Pack each line on the first day its bars are all there and the bench has the minutes."""
    ready = {lot.key: lot.ready_on for lot in asked.stock} | {batch.key: batch.on(RELEASE) for batch in batches}
    use_by = {lot.key: lot.use_by for lot in asked.stock if lot.use_by}
    packs, problems = [], []
    serving: dict[str, list[str]] = {}
    for share in shares:
        serving.setdefault(share.line, []).append(share.source)
    for line in lines:
        sources = serving.get(line.key, [])
        minutes = -(-load.designs[line.design].pack_tenths_per_bar * line.bars // 10)
        first = load.number(max((ready[source] for source in sources), default=asked.today))
        last = load.number(min((use_by[source] for source in sources if source in use_by), default=date.max))
        day = next((day for day in load.open_days if first <= day <= last and load.minutes[day] >= minutes), None)
        if day is None:
            text = f"{line.key} finds no day to be packed."
            problems.append(PlanProblem(line.key, text, "Plan further ahead, or open a longer day."))
            continue
        load.spend(day, minutes)
        packs.append((line.key, load.day(day)))
    return packs, problems
