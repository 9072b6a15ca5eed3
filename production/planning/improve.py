"""Better a plan with OR-Tools CP-SAT, goal by goal: late days, then batches and bars left over, then the wished day.

Each goal is solved by itself and then held while the next one is looked at, so that no goal is traded for a lesser one.
The solver is imported when it is first used; where it is missing, `SolverMissing` is raised.
"""

from dataclasses import replace
from importlib.metadata import version
from typing import Any

from production.planning.bounds import Earliest, earliest_days, least_late_days
from production.planning.joint_model import JointModel
from production.planning.joint_plan import has_spare_left, hint, plan_of
from production.planning.plan_answer import BATCHES, LATE, TARGET, Budget, Level
from production.planning.plan_check import check, score
from production.planning.plan_records import Plan, PlanInput
from production.planning.watch import UNWATCHED, Watch

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


def improve(
    asked: PlanInput, start: Plan, budget: Budget, *, earliest: Earliest | None = None, watch: Watch = UNWATCHED
) -> tuple[Plan, tuple[Level, ...], float]:
    """Return a plan no worse than the starting one, its levels, and the seconds the solver took."""
    cp = _solver()
    clock = _Clock(budget, watch)
    plan, earliest = start, earliest or earliest_days(asked)
    for spare in range(1, MOST_SPARES + 1):
        search = _Search(cp, asked, plan, clock, earliest, spare=spare)
        plan, levels = search.run()
        if levels[0].is_proven or not search.spares_used or clock.is_over:
            break
    return plan, levels, clock.spent


class _Clock:
    """What is left of the budget, in the solver's own seconds or in its repeatable measure."""

    def __init__(self, budget: Budget, watch: Watch) -> None:
        self.budget, self.watch, self.spent, self.work = budget, watch, 0.0, 0.0

    @property
    def is_over(self) -> bool:
        if self.watch.is_stopped:
            return True
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

    def __init__(
        self, cp: Any, asked: PlanInput, start: Plan, clock: _Clock, earliest: Earliest, *, spare: int
    ) -> None:
        self.cp, self.asked, self.clock = cp, asked, clock
        self.plan, self.joint = start, JointModel(cp, asked, start, earliest, spare=spare)
        self.least = {LATE: least_late_days(asked, earliest), BATCHES: 0, TARGET: 0}
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
        return self.plan, self._read_again(tuple(levels))

    def _read_again(self, levels: tuple[Level, ...]) -> tuple[Level, ...]:
        """A later goal may have bettered an earlier one by the way."""
        values = score(self.asked, self.plan).order
        return tuple(
            replace(level, value=value, bound=min(level.bound, value)) if self.has_plan else level
            for level, value in zip(levels, values, strict=False)
        )

    def _level(self, name: str, goal: Any, are_proven: bool) -> Level:
        place = {LATE: 0, BATCHES: 1, TARGET: 2}[name]
        found = score(self.asked, self.plan).order[place]
        if self.has_plan and (found <= self.least[name] or self.clock.watch.is_stopped):
            return Level(name, found, min(self.least[name], found), are_proven and found <= self.least[name])
        if self.has_plan:
            hint(self.joint, self.plan)
        self.joint.model.minimize(goal)
        solver = self.clock.solver(self.cp, TIME_SHARE[name])
        with self.clock.watch.solving(solver):
            status = solver.solve(self.joint.model)
        self.clock.note(solver)
        if status == self.cp.MODEL_INVALID or (status == self.cp.INFEASIBLE and self.has_plan):
            raise PlanFault(f"The model was refused ({solver.status_name(status)}) although a plan exists.")
        if status in (self.cp.OPTIMAL, self.cp.FEASIBLE):
            self._take(plan_of(self.joint, solver))
        found = score(self.asked, self.plan).order[place]
        bound = self.least[name]
        if status != self.cp.INFEASIBLE:
            bound = max(bound, -(-round(solver.best_objective_bound * 1000) // 1000))
        if self.spares_used or (name == LATE and not self._has_spare()):
            bound = self.least[name]
        return Level(name, found, min(bound, found), self._is_proven(name, status, found, are_proven))

    def _take(self, plan: Plan) -> None:
        """Keep the solver's plan when it is better, all goals looked at in their order."""
        broken = check(self.asked, plan)
        if broken:
            raise PlanFault(f"The solver's plan breaks a rule: {broken[0].text}")
        if not self.has_plan or score(self.asked, plan).order < score(self.asked, self.plan).order:
            self.plan, self.has_plan = plan, True
            self.clock.watch.note(score(self.asked, plan).late_days)

    def _has_spare(self) -> bool:
        return has_spare_left(self.joint, self.plan)

    def _is_proven(self, name: str, status: int, found: int, are_proven: bool) -> bool:
        """Late days are proven when no plan has fewer, or when the solver is done and more batches would not help."""
        if not self.has_plan or not are_proven:
            return False
        if name == LATE:
            self.spares_used = not self._has_spare()
            return found <= self.least[name] or (status == self.cp.OPTIMAL and not self.spares_used)
        return found <= self.least[name] or status == self.cp.OPTIMAL
