"""Better a plan with OR-Tools CP-SAT, goal by goal: late days, then batches and bars left over, then the wished day.

Each goal is solved by itself and then held while the next one is looked at, so that no goal is traded for a lesser one.
The solver is imported when it is first used; where it is missing, `SolverMissing` is raised.
"""

from importlib.metadata import version
from typing import Any

from production.planning.joint_model import JointModel
from production.planning.joint_plan import has_spare_left, hint, plan_of
from production.planning.plan_answer import BATCHES, LATE, TARGET, Budget, Level
from production.planning.plan_check import check, score
from production.planning.plan_records import Plan, PlanInput

# Share of the time that is left which each goal may use.
TIME_SHARE = {LATE: 0.6, BATCHES: 0.5, TARGET: 1.0}
MOST_SPARES = 3


class SolverMissing(RuntimeError):
    """OR-Tools is not installed here."""


class PlanFault(RuntimeError):
    """The solver returned what the check refuses, or refused the model: a fault of the model, never of the shop."""


def solver_version() -> str:
    """Return the name and version of the solver; raises SolverMissing."""
    _solver()
    return f"OR-Tools CP-SAT {version('ortools')}"


def _solver() -> Any:
    try:
        from ortools.sat.python import cp_model
    except ImportError as fault:
        raise SolverMissing("OR-Tools is not installed.") from fault
    return cp_model


def improve(asked: PlanInput, start: Plan, budget: Budget) -> tuple[Plan, tuple[Level, ...], float]:
    """Return a plan no worse than the starting one, its levels, and the seconds the solver took."""
    cp = _solver()
    clock = _Clock(budget)
    plan = start
    for spare in range(1, MOST_SPARES + 1):
        search = _Search(cp, asked, plan, clock, spare=spare)
        plan, levels = search.run()
        if levels[0].is_proven or not search.spares_used or clock.is_over:
            break
    return plan, levels, clock.spent


class _Clock:
    """What is left of the budget, in the solver's own seconds or in its repeatable measure."""

    def __init__(self, budget: Budget) -> None:
        self.budget, self.spent, self.work = budget, 0.0, 0.0

    @property
    def is_over(self) -> bool:
        if self.budget.repeatable:
            return self.work >= self.budget.repeatable
        return self.spent >= self.budget.seconds

    def solver(self, cp: Any, share: float) -> Any:
        solver = cp.CpSolver()
        parameters = solver.parameters
        parameters.num_workers = self.budget.workers
        parameters.random_seed = self.budget.seed
        if self.budget.repeatable:
            parameters.interleave_search = True
            parameters.max_deterministic_time = max((self.budget.repeatable - self.work) * share, 0.01)
        else:
            parameters.max_time_in_seconds = max((self.budget.seconds - self.spent) * share, 0.05)
        return solver

    def note(self, solver: Any) -> None:
        self.spent += solver.wall_time
        self.work += solver.response_proto.deterministic_time


class _Search:
    """One round over the goals with a given number of spare batches for each design."""

    def __init__(self, cp: Any, asked: PlanInput, start: Plan, clock: _Clock, *, spare: int) -> None:
        self.cp, self.asked, self.clock = cp, asked, clock
        self.plan, self.joint = start, JointModel(cp, asked, start, spare=spare)
        self.has_plan = not check(asked, start)
        self.spares_used = False

    def run(self) -> tuple[Plan, tuple[Level, ...]]:
        goals = ((LATE, self.joint.late), (BATCHES, self.joint.count), (TARGET, self.joint.off))
        levels: list[Level] = []
        for name, goal in goals:
            levels.append(self._level(name, goal, all(each.is_proven for each in levels)))
            if not self.has_plan:
                break
            self.joint.model.add(goal <= levels[-1].value)
        return self.plan, tuple(levels)

    def _level(self, name: str, goal: Any, are_proven: bool) -> Level:
        place = {LATE: 0, BATCHES: 1, TARGET: 2}[name]
        if self.has_plan:
            hint(self.joint, self.plan)
        self.joint.model.minimize(goal)
        solver = self.clock.solver(self.cp, TIME_SHARE[name])
        status = solver.solve(self.joint.model)
        self.clock.note(solver)
        if status == self.cp.MODEL_INVALID or (status == self.cp.INFEASIBLE and self.has_plan):
            raise PlanFault(f"The model was refused ({solver.status_name(status)}) although a plan exists.")
        is_solved = status in (self.cp.OPTIMAL, self.cp.FEASIBLE)
        if is_solved:
            self._take(plan_of(self.joint, solver), place)
        found = score(self.asked, self.plan).order[place]
        bound = 0
        if status != self.cp.INFEASIBLE:
            bound = min(max(-(-round(solver.best_objective_bound * 1000) // 1000), 0), found)
        return Level(name, found, bound, self._is_proven(name, status, found, are_proven))

    def _take(self, plan: Plan, place: int) -> None:
        broken = check(self.asked, plan)
        if broken:
            raise PlanFault(f"The solver's plan breaks a rule: {broken[0].text}")
        if (
            not self.has_plan
            or score(self.asked, plan).order[: place + 1] <= score(self.asked, self.plan).order[: place + 1]
        ):
            self.plan, self.has_plan = plan, True

    def _is_proven(self, name: str, status: int, found: int, are_proven: bool) -> bool:
        """Late days are proven when there are none, or when the solver is done and further batches would not help."""
        if not self.has_plan or not are_proven:
            return False
        if name == LATE:
            self.spares_used = not has_spare_left(self.joint, self.plan)
            return found == 0 or (status == self.cp.OPTIMAL and not self.spares_used)
        return found == 0 or status == self.cp.OPTIMAL
