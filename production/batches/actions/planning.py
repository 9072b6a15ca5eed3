"""Plan and cancel batches."""

from datetime import date

from django.db import transaction

from orders.actions import OrderRefusal, move_order
from orders.models import Order
from orders.order_states import OrderState
from production.batch_states import BatchState, may_move
from production.batches.asked import BatchAsk, BatchRefusal
from production.batches.frozen import to_json
from production.batches.models import Batch, BatchFor, PortionFill, StepRecord, Weighing
from production.batches.proposal import LineProposal, PourProposal, propose_for_order
from production.batches.sizing import SizedBatch, size_batch
from production.planning.calendar import WorkDays
from production.planning.countback import Countback
from production.today.actions import refresh_risks
from soapshop.audit import note_event
from soapshop.models import User, Workshop
from soapshop.numbering import next_number

PLANNABLE = (OrderState.ACCEPTED, OrderState.IN_PRODUCTION)


@transaction.atomic
def plan_batches(
    *, order_id: int, today: date, by: User, pour_on: date | None = None, calendar: WorkDays | None = None
) -> tuple[Batch, ...]:
    """Make the batches that an accepted order still needs, on its pour-by day or on the day given.

    A second call finds nothing left to plan and refuses. Stock is not touched; a pour draws it.
    """
    order = Order.objects.select_for_update().get(pk=order_id)
    if order.state not in PLANNABLE:
        raise BatchRefusal(
            f"{order} is {order.state.label.lower()}. Batches are planned for accepted orders: accept it first."
        )
    workshop = Workshop.current()
    read = Order.objects.for_page().get(pk=order.pk)
    proposal = propose_for_order(read, workshop=workshop, today=today, calendar=calendar)
    lines = [line for line in proposal.lines if line.open_bars]
    if not lines:
        raise BatchRefusal(f"Every bar of {order} is in a batch already. There is nothing left to plan.")
    for line in lines:
        if line.problem:
            raise BatchRefusal(line.problem)
    batches = tuple(
        _make(line, pour, workshop=workshop, today=today, pour_on=pour_on, by=by)
        for line in lines
        for pour in line.pours
    )
    if order.state == OrderState.ACCEPTED:
        try:
            move_order(order_id=order.pk, to=OrderState.IN_PRODUCTION, by=by)
        except OrderRefusal as refusal:
            raise BatchRefusal(str(refusal)) from refusal
    numbers = ", ".join(batch.number for batch in batches)
    note_event(by=by, verb="plan_batches", subject=order, text=f"Planned {numbers} for {order}.")
    refresh_risks(today=today)
    return batches


def _make(
    line: LineProposal, pour: PourProposal, *, workshop: Workshop, today: date, pour_on: date | None, by: User
) -> Batch:
    if line.revision is None or line.countback is None:
        raise BatchRefusal(line.problem or "This line cannot be planned yet.")
    sized = size_batch(
        BatchAsk(line.line.design, line.revision, pour.mold, pour.mold_count, pour.ordered_bars, pour.wants),
        workshop=workshop,
    )
    day = pour_on or max(line.countback.pour_on, today)
    batch = write_batch(sized, design_id=line.line.design_id, revision_id=line.revision.pk, mold=pour, day=day, by=by)
    if pour.ordered_bars:
        BatchFor.objects.create(batch=batch, line=line.line, bars=pour.ordered_bars)
    _write_steps(batch, line.countback, day)
    return batch


def write_batch(
    sized: SizedBatch, *, design_id: int, revision_id: int, mold: PourProposal, day: date, by: User
) -> Batch:
    """Save a sized batch with its weigh-out and jugs."""
    plan = sized.plan
    number = next_number(f"batch-{day:%y}")
    batch = Batch.objects.create(
        number=f"B{day:%y}-{number:03d}",
        design_id=design_id,
        revision_id=revision_id,
        mold=mold.mold,
        mold_count=mold.mold_count,
        planned_bars=plan.bars,
        oils_grams=plan.oils_grams,
        batter_grams=plan.batter_grams,
        frozen=to_json(plan),
        pour_on=day,
        cure_days=plan.cure_days,
        least_cure_days=plan.least_cure_days,
        created_by=by,
    )
    Weighing.objects.bulk_create(
        Weighing(
            batch=batch,
            position=position,
            phase=line.phase,
            tolerance_class=line.tolerance_class,
            material_id=line.material_id,
            portion_letter=line.portion_letter,
            planned_grams=line.planned_grams,
            accept_low_grams=line.low_grams,
            accept_high_grams=line.high_grams,
        )
        for position, line in enumerate(sized.lines, start=1)
    )
    jugs = {portion.letter: portion for portion in plan.portions}
    PortionFill.objects.bulk_create(
        PortionFill(batch=batch, letter=jug.letter, name=jug.name, planned_grams=jug.grams) for jug in jugs.values()
    )
    return batch


def _write_steps(batch: Batch, countback: Countback, day: date) -> None:
    """Save the steps of the plan, shifted along when the pour was set on another day than counted."""
    shift = day - countback.pour_on
    StepRecord.objects.bulk_create(
        StepRecord(
            batch=batch,
            position=position,
            key=step.key,
            label=step.label,
            due_on=step.on_day + shift,
            last_on=step.last_day + shift,
            minutes=step.minutes,
        )
        for position, step in enumerate(countback.steps, start=1)
    )


@transaction.atomic
def cancel_batch(*, batch_id: int, reason: str, by: User, on: date | None = None) -> Batch:
    """Take a planned batch off the plan; its bars are open again for planning.

    With the day ``on`` the orders' risks are judged anew.
    """
    batch = Batch.objects.select_for_update().get(pk=batch_id)
    refusal = may_move(batch.state, BatchState.CANCELLED)
    if refusal:
        raise BatchRefusal(refusal)
    if not reason.strip():
        raise BatchRefusal("Say in a few words why this batch is cancelled.")
    batch.status = BatchState.CANCELLED.value
    batch.save(update_fields=["status"])
    note_event(by=by, verb="cancel_batch", subject=batch, text=f"Cancelled {batch}: {reason.strip()}")
    if on is not None:
        refresh_risks(today=on)
    return batch
