"""One plan from one input: questions first, then the plan at once, then the searches, then the independent check."""

import time
from dataclasses import replace

from production.planning.bounds import earliest_days, least_late_days
from production.planning.improve import PlanFault, SolverMissing, improve, solver_version
from production.planning.list_schedule import list_schedule
from production.planning.local_search import search
from production.planning.plan_answer import BATCHES, LATE, TARGET, Budget, Level, PlanAnswer, PlanStatus
from production.planning.plan_check import check, moves, score
from production.planning.plan_records import Plan, PlanInput, PlanResult, Score
from production.planning.validate import validate
from production.planning.watch import UNWATCHED, Watch

# The largest shop the joint model was measured with; beyond it the searches without the solver answer alone.
MOST_LINES, MOST_BATCHES, MOST_DESIGNS, MOST_MOLDS = 400, 200, 40, 12
# Tries of the search without the solver, for each line and second; counted, so that a repeatable budget gives the same
# plan. Its share of the seconds is what it may take when it is counted by the clock.
LINE_TRIES_A_SECOND = 30_000
SEARCH_SHARE, SEARCH_SHARE_ALONE = 0.5, 1.0
NO_SOLVER = "The solver is not installed here, so this plan was made without it."
TOO_LARGE = "This is more than the solver is given, so this plan was made without it."
NOT_SOUND = "The solver's plan did not pass the check and was put aside; this plan was made without it."


def plan(asked: PlanInput, budget: Budget, watch: Watch = UNWATCHED) -> PlanAnswer:
    """Return the best plan found within the budget; more time never makes it worse."""
    problems = validate(asked)
    if problems:
        return PlanAnswer(PlanStatus.BAD_INPUT, Plan(), Score(0, 0, 0, 0), problems=problems)
    quick, earliest = list_schedule(asked), earliest_days(asked)
    least = least_late_days(asked, earliest)
    if budget.seconds <= 0:
        return _by_list(asked, quick, least, "")
    large, began = is_too_large(asked), time.monotonic()
    if quick.score.late_days > least:
        with watch.within(None if budget.repeatable else _search_seconds(budget, is_alone=large)):
            tries = _tries(asked, budget)
            quick = search(asked, quick, tries=tries, least=least, seed=budget.seed, watch=watch)
    if large:
        return _by_list(asked, quick, least, TOO_LARGE)
    left = replace(budget, seconds=max(budget.seconds - (time.monotonic() - began), budget.seconds * 0.2))
    try:
        better, levels, seconds = improve(asked, quick.plan, left, earliest=earliest, watch=watch)
        engine = solver_version()
    except SolverMissing:
        return _by_list(asked, quick, least, NO_SOLVER)
    except PlanFault:
        return _by_list(asked, quick, least, NOT_SOUND)
    if check(asked, better):
        return replace(_by_list(asked, quick, least, ""), engine=engine, seconds=seconds)
    status = _status(levels)
    return PlanAnswer(status, better, score(asked, better), levels, (), moves(asked, better), engine, seconds)


def _search_seconds(budget: Budget, *, is_alone: bool) -> float:
    return budget.seconds * (SEARCH_SHARE_ALONE if is_alone else SEARCH_SHARE)


def is_too_large(asked: PlanInput) -> bool:
    return (
        len(asked.lines) > MOST_LINES
        or len(asked.fixed) + len(asked.movable) > MOST_BATCHES
        or len(asked.designs) > MOST_DESIGNS
        or len(asked.molds) > MOST_MOLDS
    )


def _tries(asked: PlanInput, budget: Budget) -> int:
    return round(LINE_TRIES_A_SECOND * budget.seconds / max(len(asked.lines), 15))


def _status(levels: tuple[Level, ...]) -> PlanStatus:
    if all(level.is_proven for level in levels):
        return PlanStatus.PROVEN
    return PlanStatus.LATENESS_PROVEN if levels[0].is_proven else PlanStatus.GOOD


def _by_list(asked: PlanInput, quick: PlanResult, least: int, notice: str) -> PlanAnswer:
    """A plan made without the solver, checked; only late days that nobody can avoid are proven by it."""
    broken = check(asked, quick.plan)
    if quick.unplaced or broken:
        problems = quick.unplaced or broken
        status = PlanStatus.INCOMPLETE
    else:
        problems, status = (), PlanStatus.LIST_ONLY
    late, count, off = quick.score.order
    is_least = late <= least and status == PlanStatus.LIST_ONLY
    bound = min(least, late)
    levels = (Level(LATE, late, bound, is_least), Level(BATCHES, count, 0, False), Level(TARGET, off, 0, False))
    moved = moves(asked, quick.plan)
    return PlanAnswer(status, quick.plan, quick.score, levels, problems, moved, notice=notice)
