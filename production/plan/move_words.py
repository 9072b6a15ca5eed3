"""The steps of a batch that is moved by hand, with their days now and then."""

from dataclasses import dataclass
from datetime import date

from production.batches.models import Batch
from production.planning.one_move import OneMove
from production.planning.plan_records import CUT, POUR, RELEASE

MILESTONE_NAMES = {POUR: "Pour", CUT: "Cut", RELEASE: "Release"}


@dataclass(frozen=True)
class StepDays:
    name: str
    before: date
    after: date


def step_rows(batch: Batch, move: OneMove) -> tuple[StepDays, ...]:
    """Return the steps in the order of their new days, named as in the batch."""
    names = {step.key: step.label for step in batch.steps.all()} | MILESTONE_NAMES
    after = dict(move.after.days)
    rows = [StepDays(names.get(key, key), day, after[key]) for key, day in move.before.days]
    return tuple(sorted(rows, key=lambda row: row.after))
