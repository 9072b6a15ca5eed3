"""One plan from one input: questions first, then the plan at once, then the solver, then the independent check."""

from dataclasses import replace

from production.planning.improve import PlanFault, SolverMissing, improve, solver_version
from production.planning.list_schedule import list_schedule, search_orders
from production.planning.plan_answer import BATCHES, LATE, TARGET, Budget, Level, PlanAnswer, PlanStatus
from production.planning.plan_check import check, moves, score
from production.planning.plan_records import Plan, PlanInput, PlanResult, Score
from production.planning.validate import validate

# The largest shop the joint model was measured with; beyond it the list schedule answers alone.
MOST_LINES, MOST_BATCHES, MOST_DESIGNS, MOST_MOLDS = 400, 200, 40, 12
# Tries with another order of the lines, for each line and second; counted, so that the same budget gives the same plan.
LINE_TRIES_A_SECOND = 180
NO_SOLVER = "The solver is not installed here, so this plan was made at once by the list schedule."
TOO_LARGE = "This is more than the solver is given, so this plan was made at once by the list schedule."
NOT_SOUND = "The solver's plan did not pass the check and was put aside; this plan was made by the list schedule."


def plan(asked: PlanInput, budget: Budget) -> PlanAnswer:
    """Return the best plan found within the budget; more time never makes it worse."""
    problems = validate(asked)
    if problems:
        return PlanAnswer(PlanStatus.BAD_INPUT, Plan(), Score(0, 0, 0, 0), problems=problems)
    quick = list_schedule(asked)
    if is_too_large(asked):
        return _by_list(asked, quick, TOO_LARGE)
    if budget.seconds <= 0:
        return _by_list(asked, quick, "")
    if quick.score.late_days:
        quick = search_orders(asked, quick, tries=_tries(asked, budget))
    try:
        better, levels, seconds = improve(asked, quick.plan, budget)
        engine = solver_version()
    except SolverMissing:
        return _by_list(asked, quick, NO_SOLVER)
    except PlanFault:
        return _by_list(asked, quick, NOT_SOUND)
    if check(asked, better):
        return replace(_by_list(asked, quick, ""), engine=engine, seconds=seconds)
    status = _status(levels)
    return PlanAnswer(status, better, score(asked, better), levels, (), moves(asked, better), engine, seconds)


def is_too_large(asked: PlanInput) -> bool:
    return (
        len(asked.lines) > MOST_LINES
        or len(asked.fixed) + len(asked.movable) > MOST_BATCHES
        or len(asked.designs) > MOST_DESIGNS
        or len(asked.molds) > MOST_MOLDS
    )


def _tries(asked: PlanInput, budget: Budget) -> int:
    return round(LINE_TRIES_A_SECOND * budget.seconds / max(len(asked.lines), 6))


def _status(levels: tuple[Level, ...]) -> PlanStatus:
    if all(level.is_proven for level in levels):
        return PlanStatus.PROVEN
    return PlanStatus.LATENESS_PROVEN if levels[0].is_proven else PlanStatus.GOOD


def _by_list(asked: PlanInput, quick: PlanResult, notice: str) -> PlanAnswer:
    """The list schedule's plan, checked; only an empty count of late days is proven by it."""
    broken = check(asked, quick.plan)
    if quick.unplaced or broken:
        problems = quick.unplaced or broken
        status = PlanStatus.INCOMPLETE
    else:
        problems, status = (), PlanStatus.LIST_ONLY
    late, count, off = quick.score.order
    is_on_time = late == 0 and status == PlanStatus.LIST_ONLY
    levels = (Level(LATE, late, 0, is_on_time), Level(BATCHES, count, 0, False), Level(TARGET, off, 0, False))
    moved = moves(asked, quick.plan)
    return PlanAnswer(status, quick.plan, quick.score, levels, problems, moved, notice=notice)
