"""What a person smells and sees on the bars from week to week."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal

from django.db import transaction

from production.batches.actions.bench import locked_batch
from production.cure.actions.weighing import WEIGHED_IN, weigh_bars
from production.cure.models import CureWeighing
from production.cure.refusal import CureRefusal
from soapshop.audit import note_event
from soapshop.models import User

MOST_WORDS = 300


@transaction.atomic
def keep_week(
    *,
    batch_id: int,
    weights: Mapping[str, Decimal],
    note: str,
    on: date,
    today: date,
    by: User,
    reason: str = "",
) -> list[CureWeighing]:
    """Keep the week's weights with a note on scent and color; either may stand alone."""
    rows = []
    if weights or not note.strip():
        rows = weigh_bars(batch_id=batch_id, weights=weights, on=on, today=today, by=by, reason=reason)
    if note.strip():
        note_cure(batch_id=batch_id, note=note, on=on, today=today, by=by)
    return rows


@transaction.atomic
def note_cure(*, batch_id: int, note: str, on: date, today: date, by: User) -> None:
    batch = locked_batch(batch_id)
    if batch.state not in WEIGHED_IN or batch.cut_on is None:
        raise CureRefusal(f"{batch} is {batch.state.label.lower()}. Notes on its bars are taken once they are cut.")
    if on > today or on < batch.cut_on:
        raise CureRefusal("Choose a day from the cut up to today.")
    day = (on - (batch.poured_on or batch.cut_on)).days
    note_event(by=by, verb="note_cure", subject=batch, text=f"Day {day} of cure: {note.strip()[:MOST_WORDS]}")
