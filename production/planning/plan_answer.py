"""What planning answers: the plan, how good it is level by level, and what was proven about it."""

from dataclasses import dataclass
from enum import StrEnum

from production.planning.plan_records import Plan, PlanProblem, Score

LATE, BATCHES, TARGET = "late", "batches", "target"


class PlanStatus(StrEnum):
    """How much is known about a plan. That some orders are late is a property of the plan, not a status."""

    PROVEN = "proven"
    LATENESS_PROVEN = "lateness_proven"
    GOOD = "good"
    LIST_ONLY = "list_only"
    INCOMPLETE = "incomplete"
    BAD_INPUT = "bad_input"


STATUS_TEXT = {
    PlanStatus.PROVEN: "No better plan exists: every level is proven.",
    PlanStatus.LATENESS_PROVEN: "No plan has fewer late days. Fewer batches or a closer day may still be possible.",
    PlanStatus.GOOD: "A good plan. Whether a better one exists was not settled in the time given.",
    PlanStatus.LIST_ONLY: "A plan made at once, without the solver.",
    PlanStatus.INCOMPLETE: "Some lines found no place.",
    PlanStatus.BAD_INPUT: "This cannot be planned as it stands.",
}


@dataclass(frozen=True)
class Budget:
    """How long the solver may look: seconds, or its own repeatable measure of work when that is given."""

    seconds: float = 5.0
    repeatable: float = 0.0
    workers: int = 2
    seed: int = 7


@dataclass(frozen=True)
class Level:
    """One goal, in the order of their weight: what the plan reaches, the bound below it, and whether it is proven."""

    name: str
    value: int
    bound: int
    is_proven: bool


@dataclass(frozen=True)
class PlanAnswer:
    status: PlanStatus
    plan: Plan
    score: Score
    levels: tuple[Level, ...] = ()
    problems: tuple[PlanProblem, ...] = ()
    moved: tuple[str, ...] = ()
    engine: str = "list"
    seconds: float = 0.0
    notice: str = ""
