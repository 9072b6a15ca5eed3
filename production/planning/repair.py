"""Re-plan by moving as little as serves: a ladder from "only what must move" to "everything may move".

Each rung frees more of the planned batches and is planned by itself; the rungs are shown as moves against late days.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta

from production.planning.engine import plan
from production.planning.plan_answer import LATE, Budget, PlanAnswer, PlanStatus
from production.planning.plan_check import check, moves, score
from production.planning.plan_records import POUR, Plan, PlanInput, PlannedBatch
from production.planning.watch import UNWATCHED, Watch

Planner = Callable[[PlanInput, Budget, Watch], PlanAnswer]
# How far around the batches hit the next rungs reach, in days between pours.
REACH_DAYS = (3, 7, 14)


@dataclass(frozen=True)
class Rung:
    """One way to mend the plan: what was free to move, what moved, and how late it leaves the orders."""

    name: str
    freed: int
    answer: PlanAnswer

    @property
    def moved(self) -> int:
        return len(self.answer.moved)

    @property
    def late_days(self) -> int:
        return self.answer.score.late_days

    @property
    def is_whole(self) -> bool:
        return self.answer.status not in (PlanStatus.INCOMPLETE, PlanStatus.BAD_INPUT)


def with_pinned(asked: PlanInput, free: frozenset[str]) -> PlanInput:
    """Return the input with every planned batch pinned but the free ones."""
    return replace(
        asked,
        fixed=(*asked.fixed, *(each for each in asked.movable if each.key not in free)),
        movable=tuple(each for each in asked.movable if each.key in free),
    )


def batches_hit(asked: PlanInput) -> frozenset[str]:
    """Return the planned batches that cannot stay: on a closed or past day, or over what the shop has."""
    hit: set[str] = set()
    kept: list[PlannedBatch] = []
    for batch in sorted(asked.movable, key=lambda each: (each.on(POUR), each.key)):
        alone = replace(asked, movable=(batch,), lines=(), reserved=(), fixed=(*asked.fixed, *kept))
        if check(alone, Plan((*alone.fixed, batch))):
            hit.add(batch.key)
        else:
            kept.append(batch)
    return frozenset(hit)


def ladder(
    asked: PlanInput,
    budget: Budget,
    *,
    planner: Planner = plan,
    watch: Watch = UNWATCHED,
    tell: Callable[[tuple[Rung, ...]], None] | None = None,
) -> tuple[Rung, ...]:
    """Return the rungs that are worth showing: each leaves fewer late days, or places more, than the one before.

    `tell` gets the rungs so far after each of them. When the watch is stopped, what is there is kept.
    """
    everything = frozenset(each.key for each in asked.movable)
    steps = _steps(asked, everything)
    rungs: list[Rung] = []
    bound = 0
    share = replace(budget, seconds=budget.seconds / len(steps))
    for name, free in steps:
        if rungs and watch.is_stopped:
            break
        rung = Rung(name, len(free), _judged(asked, planner(with_pinned(asked, free), share, watch)))
        if free == everything and rung.answer.levels:
            bound = rung.answer.levels[0].bound
        if not rungs or _rank(rung) < _rank(rungs[-1]):
            rungs.append(rung)
        if tell is not None:
            tell(_bounded(rungs, len(everything), bound))
        if rung.is_whole and not rung.late_days:
            break
    return _bounded(rungs, len(everything), bound)


def _steps(asked: PlanInput, everything: frozenset[str]) -> list[tuple[str, frozenset[str]]]:
    """What each rung frees; the same batches are not tried twice."""
    hit = batches_hit(asked)
    steps = [("only what cannot stay", hit)]
    steps += [(f"also pours within {days} days of it", _near(asked, hit, days)) for days in REACH_DAYS if hit]
    steps.append(("any planned batch", everything))
    return [step for place, step in enumerate(steps) if step[1] not in [free for _, free in steps[:place]]]


def _bounded(rungs: list[Rung], movable: int, bound: int) -> tuple[Rung, ...]:
    return tuple(rung if rung.freed == movable else _as_a_part(rung, bound) for rung in rungs)


def _as_a_part(rung: Rung, bound: int) -> Rung:
    """What was proven with other batches pinned says nothing about the whole; only its late days can still be known."""
    levels = tuple(
        replace(level, bound=min(bound, level.value), is_proven=level.value <= bound)
        if level.name == LATE
        else replace(level, bound=0, is_proven=False)
        for level in rung.answer.levels
    )
    status = rung.answer.status
    if status in (PlanStatus.PROVEN, PlanStatus.LATENESS_PROVEN, PlanStatus.GOOD):
        status = PlanStatus.LATENESS_PROVEN if levels[0].is_proven else PlanStatus.GOOD
    return replace(rung, answer=replace(rung.answer, levels=levels, status=status))


def _near(asked: PlanInput, hit: frozenset[str], days: int) -> frozenset[str]:
    pours = [each.on(POUR) for each in asked.movable if each.key in hit]
    reach = timedelta(days=days)
    return hit | {
        each.key for each in asked.movable if any(pour - reach <= each.on(POUR) <= pour + reach for pour in pours)
    }


def _judged(asked: PlanInput, answer: PlanAnswer) -> PlanAnswer:
    """Score and check a rung's plan against the whole input, in which the pinned batches were free to move."""
    if answer.status == PlanStatus.BAD_INPUT:
        return answer
    return replace(answer, score=score(asked, answer.plan), moved=moves(asked, answer.plan))


def _rank(rung: Rung) -> tuple[int, int]:
    return len(rung.answer.problems), rung.late_days
