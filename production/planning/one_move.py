"""Move one planned batch by hand: the days its steps then get, what stands in the way, which lines it makes late."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

from production.planning.load import Load
from production.planning.plan_records import RELEASE, PlanInput, PlannedBatch, PlanProblem
from production.planning.repair import with_pinned

CAUSES = {
    "pours": "The pours of that day are all taken.",
    "mold": "The mold it needs is in use on those days.",
    "rack": "The rack would be over full.",
    "ingredient": "An ingredient would run short before its delivery.",
}


@dataclass(frozen=True)
class LateLine:
    """A line that waits for the batch, and the days it would be late at the least."""

    key: str
    due_on: date
    days: int


@dataclass(frozen=True)
class OneMove:
    """What a move comes to. With `problem` the batch stays where it is; `late` is only ever a warning."""

    before: PlannedBatch
    after: PlannedBatch
    late: tuple[LateLine, ...] = ()
    problem: PlanProblem | None = None


def move_one(asked: PlanInput, key: str, pour_on: date) -> OneMove:
    """Lay one movable batch on another pour day, with every other batch where it is.

    Its steps get the first days that fit the bench; what is late already is told again, for it still is.
    """
    batch = next(each for each in asked.movable if each.key == key)
    load = Load(replace(with_pinned(asked, frozenset({key})), movable=()))
    design, way, day = load.designs[batch.design], load.yield_of(batch), load.number(pour_on)
    if day not in load.open_days:
        return _refused(batch, "closed", "Nobody works on that day.", "Choose an open day, or open it in the calendar.")
    cause = load.refusal_at_once(design, way, day)
    days = None if cause else load.step_days(design, way, day)
    if cause or days is None or (cause := load.refusal(design, way, days)):
        text = CAUSES.get(cause, "A step of it finds no open day, or the bench has no time left on it.")
        return _refused(batch, cause or "bench", text, "Choose another day, or make room first.")
    after = replace(batch, days=tuple((step, load.day(days[step])) for step, _ in batch.days))
    return OneMove(batch, after, _late(asked, after))


def _refused(batch: PlannedBatch, code: str, text: str, mend: str) -> OneMove:
    return OneMove(batch, batch, problem=PlanProblem(code, text, mend))


def _late(asked: PlanInput, batch: PlannedBatch) -> tuple[LateLine, ...]:
    """Lines with bars of this batch that are due on its release or before; they are packed that day at the earliest."""
    waiting = {share.line for share in asked.reserved if share.source == batch.key}
    late = [
        LateLine(line.key, line.due_on, (batch.on(RELEASE) - line.due_on).days + 1)
        for line in asked.lines
        if line.key in waiting and line.due_on <= batch.on(RELEASE)
    ]
    return tuple(sorted(late, key=lambda each: (-each.days, each.key)))


def open_days_for(asked: PlanInput, key: str, *, first: date, days: int) -> tuple[date, ...]:
    """Return the days of a span on which the batch could be poured with nothing else moved."""
    span = (first + timedelta(days=ahead) for ahead in range(days))
    return tuple(day for day in span if move_one(asked, key, day).problem is None)
