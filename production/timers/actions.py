"""Start and stop a timer of a batch."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from production.batch_states import BatchState
from production.batches.actions.writing import locked_batch
from production.batches.asked import BatchRefusal
from production.timers.models import LONGEST_MINUTES, Timer
from soapshop.audit import note_event
from soapshop.models import User

WITH_HANDS_ON = (BatchState.IN_PROCESS, BatchState.POURED, BatchState.CUT)
MOST_RUNNING = 12


@transaction.atomic
def start_timer(
    *, batch_id: int, what: str, at: datetime, by: User, minutes: int | None = None, typed_once: UUID | None = None
) -> Timer:
    """Note that something began. The same form sent twice starts one timer."""
    batch = locked_batch(batch_id)
    taken = Timer.objects.filter(typed_once=typed_once).first() if typed_once else None
    if taken is not None:
        return taken
    if batch.state not in WITH_HANDS_ON:
        raise BatchRefusal(f"{batch} is {batch.state.label.lower()}. Timers run from the weigh-out to the cut.")
    if not what.strip():
        raise BatchRefusal("What is timed? Type a few words, such as lye cools.")
    if minutes is not None and not 1 <= minutes <= LONGEST_MINUTES:
        raise BatchRefusal("A timer runs from a minute to a week. Check the minutes.")
    if batch.timers.filter(stopped_at__isnull=True).count() >= MOST_RUNNING:
        raise BatchRefusal(f"{MOST_RUNNING} timers run already. Stop one first.")
    return Timer.objects.create(
        batch=batch, what=what.strip()[:60], minutes=minutes, started_at=at, by=by, typed_once=typed_once
    )


@transaction.atomic
def stop_timer(*, timer_id: int, at: datetime, by: User) -> Timer:
    """Note that it is over; stopping it twice has one effect."""
    timer = Timer.objects.select_for_update().get(pk=timer_id)
    if timer.stopped_at is None:
        timer.stopped_at = max(at, timer.started_at)
        timer.save(update_fields=["stopped_at"])
        text = f"{timer.what}: {timer.taken_minutes} min."
        note_event(by=by, verb="stop_timer", subject=timer.batch, text=text)
    return timer
