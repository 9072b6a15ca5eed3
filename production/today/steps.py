"""Which open steps can be done today: those before an open pour, cut or release, and that milestone itself."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from production.planning.route import CUT, HAND_OVER, POUR, RELEASE

# These are done on their own pages, where they are weighed, counted and judged; the rest is ticked here.
MILESTONES = (POUR, CUT, RELEASE)
ON_ITS_PAGE = (*MILESTONES, HAND_OVER)


@dataclass(frozen=True)
class OpenStep:
    """A step not ticked yet. ``last_on`` is the last day it may wait for."""

    pk: int
    batch: str
    design: str
    position: int
    key: str
    label: str
    due_on: date
    last_on: date | None
    minutes: int
    is_overdue: bool = False

    @property
    def until(self) -> date:
        return self.last_on or self.due_on

    @property
    def is_ticked_here(self) -> bool:
        return self.key not in ON_ITS_PAGE


def doable_steps(steps: Iterable[OpenStep], *, today: date) -> tuple[OpenStep, ...]:
    """Return what can be done now, late ones first: nothing that waits for an earlier pour, cut or release."""
    found: list[OpenStep] = []
    stopped: set[str] = set()
    for step in sorted(steps, key=lambda step: (step.batch, step.position)):
        if step.batch in stopped or step.due_on > today:
            continue
        found.append(replace(step, is_overdue=step.until < today))
        if step.key in MILESTONES:
            stopped.add(step.batch)
    return tuple(sorted(found, key=lambda step: (not step.is_overdue, step.until, step.batch, step.position)))


def effort_text(minutes: int) -> str:
    """Write minutes as people plan them: 45 min, 3 h, 3 h 20 min."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"
