"""What is asked of a count back and what it answers: frozen records, dates and whole days."""

from dataclasses import dataclass, field
from datetime import date

from production.planning.calendar import WorkDays
from production.planning.layout import PlannedStep
from production.planning.route import PLAIN_ROUTE, RouteStep


class CountbackError(ValueError):
    """The days cannot be counted back as they stand; the message is for people."""


@dataclass(frozen=True)
class PartLead:
    """Something that must be at hand before the pour: bought, sent by the customer, or made ahead.

    `lead_days` are calendar days from today; `ready_on` wins when the day of delivery is known.
    """

    label: str
    lead_days: int = 0
    ready_on: date | None = None
    is_for_part: bool = False


@dataclass(frozen=True)
class CountbackInput:
    """What one line needs. `handover_days` are calendar days in the post (0 = collected).

    `done` names the route steps that are behind us; `poured_on` is set once the batch is poured.
    """

    today: date
    needed_by: date
    handover_days: int = 0
    cure_days: int = 42
    least_cure_days: int = 28
    label_days: int = 1
    pack_days: int = 1
    bars: int = 0
    stock_bars: int = 0
    change_cutoff_days: int = 7
    route: tuple[RouteStep, ...] = PLAIN_ROUTE
    calendar: WorkDays = field(default_factory=WorkDays)
    parts: tuple[PartLead, ...] = ()
    done: frozenset[str] = frozenset()
    poured_on: date | None = None


@dataclass(frozen=True)
class PlanWarning:
    code: str
    text: str
    mend: str


@dataclass(frozen=True)
class Choice:
    """One thing the dates still allow. `best_from` is printed when the bars leave before their full cure."""

    kind: str
    text: str
    in_hand_on: date
    bars: int
    is_on_time: bool
    pour_on: date | None = None
    cure_days: int | None = None
    best_from: date | None = None


@dataclass(frozen=True)
class Countback:
    """The answer. `pour_by` and `last_safe_pour` come from the needed-by day alone, whatever day it is today."""

    steps: tuple[PlannedStep, ...]
    pour_by: date
    last_safe_pour: date
    earliest_pour: date
    pour_on: date
    change_by: date
    ready_on: date
    release_on: date
    hand_over_on: date
    in_hand_on: date
    is_late: bool
    late_days: int
    reason: str
    warnings: tuple[PlanWarning, ...]
    choices: tuple[Choice, ...]


def day_text(day: date) -> str:
    """A day as it stands in a sentence: June 4, 2026."""
    return f"{day:%B} {day.day}, {day.year}"


def count_text(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
