"""A plan at once, without a solver: bars to lines by due day, batches placed backward from the day they are wished.

Several variants are built (how early a release is wished) and the best by the common score is returned. It is a good
plan, never called the best there can be.
"""

import random
from collections import Counter
from dataclasses import dataclass, field
from datetime import date, timedelta

from production.planning.load import Load
from production.planning.plan_check import score
from production.planning.plan_records import (
    RELEASE,
    MoldYield,
    Plan,
    PlanDesign,
    PlanInput,
    PlanLine,
    PlannedBatch,
    PlanProblem,
    PlanResult,
    Share,
)

# Lines of one design due within so many days share a pour when a mold allows (common practice, no source).
SHARED_POUR_DAYS = 21
# A wish so early that the first free day is taken.
AS_SOON_AS_CAN_BE = 3650
SOON_SHARE = 0.5
WORDS = {
    "pours": "the pours a day",
    "mold": "the mold",
    "rack": "the rack",
    "ingredient": "an ingredient",
    "bench": "bench time",
}


@dataclass
class _Draft:
    """A batch on the way: which mold, and what it gives to whom."""

    key: str
    design: PlanDesign
    mold: MoldYield
    serves: list[tuple[PlanLine, int]] = field(default_factory=list)
    wish: date | None = None

    @property
    def due_on(self) -> date:
        """The first day one of its lines is due; bars for nobody yet keep the day they were planned for."""
        return min((line.due_on for line, _ in self.serves), default=self.wish or date.max)

    @property
    def cure_days(self) -> int:
        return next(step.least_days for step in self.design.steps if step.key == RELEASE)


def list_schedule(asked: PlanInput) -> PlanResult:
    """Return the best of a few quick plans; the input must have passed `validate`."""
    wished = (asked.buffer_days, 0, asked.buffer_days + 7, AS_SOON_AS_CAN_BE)
    results = [_build(asked, buffer_days, tight_first=tight) for tight in (True, False) for buffer_days in wished]
    return min(results, key=_rank)


def search_orders(asked: PlanInput, start: PlanResult, *, tries: int, seed: int = 7) -> PlanResult:
    """Let late lines go first by a few days more or less, build the plan anew, and keep what is better.

    A plan whose late days pile up is bettered by this faster than by a solver. The same seed gives the same plan.
    """
    chance = random.Random(seed)  # noqa: S311
    best, sooner = start, dict[str, int]()
    for _ in range(tries):
        late = _late_lines(asked, best.plan)
        if not late:
            break
        tried = dict(sooner)
        for key in chance.sample(late, min(len(late), chance.randint(1, 3))):
            tried[key] = tried.get(key, 0) + chance.choice((-14, -7, 7, 14, 28, 56))
        soon = chance.random() < SOON_SHARE
        result = _build(asked, AS_SOON_AS_CAN_BE if soon else asked.buffer_days, tight_first=True, sooner=tried)
        if _rank(result) <= _rank(best):
            best, sooner = result, tried
    return best


def _rank(result: PlanResult) -> tuple[int, tuple[int, int, int]]:
    return len(result.unplaced), result.score.order


def _late_lines(asked: PlanInput, plan: Plan) -> list[str]:
    packed = dict(plan.packs)
    return [line.key for line in asked.lines if packed.get(line.key, date.min) >= line.due_on]


def _build(
    asked: PlanInput, buffer_days: int, *, tight_first: bool, sooner: dict[str, int] | None = None
) -> PlanResult:
    load = Load(asked)
    lines = sorted(asked.lines, key=lambda line: (line.due_on, -line.weight, line.key))
    if sooner:
        lines.sort(key=lambda line: line.due_on - timedelta(days=sooner.get(line.key, 0)))
    shares, missing = _from_what_exists(asked, load, lines)
    drafts = _planned_drafts(asked, load, lines) + _drafts(load, lines, missing)
    batches, unplaced = list(asked.fixed), []
    ahead = sooner or {}

    def start_by(draft: _Draft) -> tuple[date, str]:
        days = max((ahead.get(line.key, 0) for line, _ in draft.serves), default=0)
        return draft.due_on - timedelta(days=draft.cure_days + days), draft.key

    drafts.sort(key=start_by, reverse=not tight_first)
    for draft in drafts:
        batch, causes = _placed(load, draft, buffer_days)
        if batch is None:
            unplaced += [_problem(line.key, causes) for line, _ in draft.serves] or [_problem(draft.key, causes)]
            continue
        load.book(batch, draft.mold)
        batches.append(batch)
        shares += [Share(line.key, batch.key, bars) for line, bars in draft.serves]
    lost = {problem.code for problem in unplaced}
    shares = [share for share in shares if share.line not in lost]
    packs, unpacked = _packs(asked, load, [line for line in lines if line.key not in lost], shares, batches)
    used = {share.source for share in shares} | {batch.key for batch in (*asked.fixed, *asked.movable)}
    plan = Plan(tuple(batch for batch in batches if batch.key in used), tuple(shares), tuple(packs))
    return PlanResult(plan, score(asked, plan), tuple(dict.fromkeys([*unplaced, *unpacked])))


def _from_what_exists(asked: PlanInput, load: Load, lines: list[PlanLine]) -> tuple[list[Share], dict[str, int]]:
    """Give stock and the bars of fixed batches: all of a line when they cover it, else only what keeps for long."""
    left = {lot.key: lot.bars for lot in asked.stock} | {each.key: load.yield_of(each).net_bars for each in asked.fixed}
    kinds = [(lot.key, lot.design, lot.ready_on, lot.use_by or date.max) for lot in asked.stock]
    kinds += [(each.key, each.design, each.on(RELEASE), date.max) for each in asked.fixed]
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
        fitting = [kind for kind in kinds if kind[1] == line.design and kind[2] < line.due_on <= kind[3]]
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


def _planned_drafts(asked: PlanInput, load: Load, lines: list[PlanLine]) -> list[_Draft]:
    """The batches that are planned already, with the lines they are planned for."""
    by_key = {line.key: line for line in lines}
    drafts = []
    for batch in asked.movable:
        serves = [(by_key[share.line], share.bars) for share in asked.reserved if share.source == batch.key]
        wish = batch.on(RELEASE) + timedelta(days=1 + asked.buffer_days)
        drafts.append(_Draft(batch.key, load.designs[batch.design], load.yield_of(batch), serves, wish))
    return drafts


def _drafts(load: Load, lines: list[PlanLine], missing: dict[str, int]) -> list[_Draft]:
    drafts: list[_Draft] = []
    for design in load.designs.values():
        waiting = [(line, missing[line.key]) for line in lines if line.design == design.key and missing[line.key]]
        while waiting:
            draft = _Draft(f"new-{len(drafts) + 1}", design, _mold_for(load, design, waiting))
            room = draft.mold.net_bars
            while waiting and room:
                line, need = waiting[0]
                bars = min(need, room)
                room -= bars
                draft.serves.append((line, bars))
                waiting = [(line, need - bars), *waiting[1:]] if need > bars else waiting[1:]
            drafts.append(draft)
    return drafts


def _mold_for(load: Load, design: PlanDesign, waiting: list[tuple[PlanLine, int]]) -> MoldYield:
    """The smallest mold that serves what is due soon, or else the largest there is."""
    horizon = waiting[0][0].due_on + timedelta(days=SHARED_POUR_DAYS)
    wanted = sum(need for line, need in waiting if line.due_on <= horizon)
    usable = [
        each
        for each in design.yields
        if each.is_for_new
        and load.owned.get(each.mold_type, 0) >= each.filled
        and each.net_bars
        and each.gross_bars <= load.asked.rack_bars
    ]
    enough = [each for each in usable if each.net_bars >= wanted]
    if enough:
        return min(enough, key=lambda each: (each.net_bars, each.gross_bars))
    return max(usable, key=lambda each: each.net_bars)


def _placed(load: Load, draft: _Draft, buffer_days: int) -> tuple[PlannedBatch | None, Counter[str]]:
    """Try pour days backward from the wished release, then forward; count what stood in the way."""
    wished = draft.due_on - timedelta(days=1 + buffer_days + draft.cure_days)
    before = [day for day in reversed(load.open_days) if day <= wished]
    causes: Counter[str] = Counter()
    for day in (*before, *(day for day in load.open_days if day > wished)):
        cause = load.refusal_at_once(draft.design, draft.mold, day)
        days = None if cause else load.step_days(draft.design, draft.mold, day)
        cause = cause or ("bench" if days is None else load.refusal(draft.design, draft.mold, days))
        if days is not None and not cause:
            order = [step.key for step in draft.design.steps]
            dated = tuple((key, days[key]) for key in order)
            return PlannedBatch(draft.key, draft.design.key, draft.mold.mold, dated), causes
        causes[cause] += 1
    return None, causes


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
    for line in lines:
        sources = [share.source for share in shares if share.line == line.key]
        minutes = -(-load.designs[line.design].pack_tenths_per_bar * line.bars // 10)
        first = max((ready[source] for source in sources), default=asked.today)
        last = min((use_by[source] for source in sources if source in use_by), default=date.max)
        day = next((day for day in load.open_days if first <= day <= last and load.minutes[day] >= minutes), None)
        if day is None:
            text = f"{line.key} finds no day to be packed."
            problems.append(PlanProblem(line.key, text, "Plan further ahead, or open a longer day."))
            continue
        load.spend(day, minutes)
        packs.append((line.key, day))
    return packs, problems
