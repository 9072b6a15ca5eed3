"""Move a planned batch to other days, keep it where it is, or let it move again."""

from collections.abc import Mapping
from datetime import date

from django.db import transaction

from production.batch_states import BatchState
from production.batches.models import Batch
from production.plan.models import BatchPin
from production.plan.records import shop_plan
from production.planning.one_move import move_one
from production.today.actions import refresh_risks
from soapshop.audit import note_event
from soapshop.models import User


class PlanRefusal(Exception):
    """The plan cannot be changed as asked; the message says why and the mend."""


@transaction.atomic
def move_pour(*, batch_id: int, pour_on: date, today: date, by: User) -> Batch:
    """Pour a planned batch on another day by hand; the shop of now must have the room. Late orders are marked."""
    batch = Batch.objects.select_for_update().get(pk=batch_id)
    asked = shop_plan(today=today).asked
    if batch.number not in {each.key for each in asked.movable}:
        raise PlanRefusal(f"{batch} does not move: it is started, kept, or poured today or tomorrow.")
    move = move_one(asked, batch.number, pour_on)
    if move.problem is not None:
        raise PlanRefusal(f"{move.problem.text} {move.problem.mend}")
    moved = move_batch(batch_id=batch.pk, days=dict(move.after.days), by=by)
    refresh_risks(today=today)
    return moved


@transaction.atomic
def move_batch(*, batch_id: int, days: Mapping[str, date], by: User) -> Batch:
    """Give a planned batch the day of its pour and of each step named; its other open steps move with the pour."""
    batch = Batch.objects.select_for_update().get(pk=batch_id)
    if batch.state != BatchState.PLANNED:
        raise PlanRefusal(f"{batch} is {batch.state.label.lower()}; only a planned batch moves. Propose anew.")
    if BatchPin.objects.filter(batch=batch).exists():
        raise PlanRefusal(f"{batch} is kept where it is. Let it move again first.")
    before, shift = batch.pour_on, days["pour"] - batch.pour_on
    for step in batch.steps.filter(done_on__isnull=True):
        own = days.get(step.key)
        moved = (own - step.due_on) if own else shift
        step.due_on += moved
        step.last_on = step.last_on + moved if step.last_on else None
        step.save(update_fields=["due_on", "last_on"])
    batch.pour_on = days["pour"]
    batch.save(update_fields=["pour_on"])
    note_event(
        by=by,
        verb="move_batch",
        subject=batch,
        text=f"Moved the pour of {batch} from {before:%b} {before.day} to {batch.pour_on:%b} {batch.pour_on.day}.",
        before={"pour_on": before.isoformat()},
        after={"pour_on": batch.pour_on.isoformat()},
    )
    return batch


@transaction.atomic
def pin_batch(*, batch_id: int, by: User) -> BatchPin:
    """Keep a batch where it is; a second time changes nothing."""
    batch = Batch.objects.select_for_update().get(pk=batch_id)
    pin, is_new = BatchPin.objects.get_or_create(batch=batch, defaults={"by": by})
    if is_new:
        note_event(by=by, verb="pin_batch", subject=batch, text=f"No proposal may move {batch}.")
    return pin


@transaction.atomic
def unpin_batch(*, batch_id: int, by: User) -> None:
    batch = Batch.objects.select_for_update().get(pk=batch_id)
    if BatchPin.objects.filter(batch=batch).delete()[0]:
        note_event(by=by, verb="unpin_batch", subject=batch, text=f"{batch} may move again.")
