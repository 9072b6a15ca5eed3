"""Move what follows a pour when it happens on another day than planned."""

from datetime import date

from production.batches.models import Batch
from production.batches.records import plan_of
from production.batches.schedule import asked_of, route_of_plan, steps_of_pour
from production.plan.work_days import current_work_days
from production.planning.countback import CountbackError, PlannedStep
from production.planning.route import RouteError
from soapshop.models import Workshop


def move_steps(batch: Batch, *, on: date) -> None:
    """Lay the open steps after the pour out anew from its real day, up to the order that needs them first.

    The cure counts from the real day: release and hand-over move with it. Called under the lock on the batch.
    """
    planned = {step.key: step for step in steps_after(batch, on=on)}
    shift = on - batch.pour_on
    for step in batch.steps.filter(done_on__isnull=True, due_on__gte=batch.pour_on):
        moved = planned.get(step.key)
        step.due_on = moved.on_day if moved else step.due_on + shift
        step.last_on = moved.last_day if moved else (step.last_on + shift if step.last_on else None)
        step.save(update_fields=["due_on", "last_on"])


def steps_after(batch: Batch, *, on: date) -> tuple[PlannedStep, ...]:
    """Return the steps after a pour on this day; none for a batch without a route or an order of its own."""
    plan = plan_of(batch)
    lines = [served.line for served in batch.serves.select_related("line__order")]
    if not plan.route or not lines:
        return ()
    order = min((line.order for line in lines), key=lambda order: order.needed_by)
    asked = asked_of(
        order,
        batch.revision,
        workshop=Workshop.current(),
        today=on,
        route=route_of_plan(plan),
        bars=plan.bars,
        calendar=current_work_days(),
    )
    try:
        return tuple(step for step in steps_of_pour(asked, on) if step.last_day > on)
    except (CountbackError, RouteError):
        return ()
