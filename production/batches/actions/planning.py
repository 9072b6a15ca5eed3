"""Plan the batches of an order."""

from datetime import date, timedelta

from django.db import transaction

from orders.actions import OrderRefusal, move_order
from orders.models import Order
from orders.order_states import OrderState
from production.batches.asked import PLANNABLE, BatchAsk, BatchRefusal
from production.batches.models import Batch, BatchFor, PortionFill, StepRecord, Weighing
from production.batches.proposal import LineProposal, PourProposal, ask_of, propose_for_order
from production.batches.schedule import asked_of, route_of_ask, steps_of_pour
from production.batches.sizing import SizedBatch, size_batch
from production.plan.work_days import current_work_days
from production.planning.calendar import WorkDays
from production.planning.countback import PlannedStep
from production.today.actions import refresh_risks
from soapshop.audit import note_event
from soapshop.frozen_json import to_json
from soapshop.models import User, Workshop
from soapshop.numbering import next_number

# A pour planned further ahead than this is a slip in the year.
LONGEST_AHEAD = timedelta(days=730)


@transaction.atomic
def plan_batches(
    *, order_id: int, today: date, by: User, pour_on: date | None = None, calendar: WorkDays | None = None
) -> tuple[Batch, ...]:
    """Make the batches that an accepted order still needs, on its pour-by day or on the day given.

    A second call finds nothing left to plan and refuses. Stock is not touched; the weigh-out draws it.
    """
    order = Order.objects.select_for_update().get(pk=order_id)
    _judge(order, today=today, pour_on=pour_on)
    workshop, calendar = Workshop.current(), calendar or current_work_days()
    read = Order.objects.for_plan().get(pk=order.pk)
    proposal = propose_for_order(read, workshop=workshop, today=today, calendar=calendar)
    if not proposal.open_lines:
        raise BatchRefusal(f"Every bar of {order} is in a batch already. There is nothing left to plan.")
    for line in proposal.open_lines:
        if line.problem:
            raise BatchRefusal(line.problem)
    batches = tuple(
        _make(line, pour, read, workshop=workshop, today=today, pour_on=pour_on, calendar=calendar, by=by)
        for line in proposal.open_lines
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


def _judge(order: Order, *, today: date, pour_on: date | None) -> None:
    if order.state not in PLANNABLE:
        raise BatchRefusal(
            f"{order} is {order.state.label.lower()}. Batches are planned for accepted orders: accept it first."
        )
    if pour_on is not None and pour_on < today:
        raise BatchRefusal(f"{pour_on:%b} {pour_on.day}, {pour_on.year} has passed. Pour today or later.")
    if pour_on is not None and pour_on > today + LONGEST_AHEAD:
        raise BatchRefusal("That pour lies more than two years ahead. Check the year.")


def _make(
    line: LineProposal,
    pour: PourProposal,
    order: Order,
    *,
    workshop: Workshop,
    today: date,
    pour_on: date | None,
    calendar: WorkDays | None,
    by: User,
) -> Batch:
    """Make one batch; without a day of its own it is poured by the day counted back, today at the earliest."""
    ask = ask_of(line, pour)
    counted = line.countback.pour_on if line.countback else today
    day = pour_on or max(counted, today)
    batch = write_batch(size_batch(ask, workshop=workshop), ask=ask, day=day, by=by)
    if pour.ordered_bars:
        BatchFor.objects.create(batch=batch, line=line.line, bars=pour.ordered_bars)
    asked = asked_of(
        order,
        line.revision,
        workshop=workshop,
        today=today,
        route=route_of_ask(ask),
        bars=pour.bars_made,
        calendar=calendar,
    )
    write_steps(batch, steps_of_pour(asked, day))
    return batch


def write_batch(sized: SizedBatch, *, ask: BatchAsk, day: date, by: User) -> Batch:
    """Save a sized batch with its weigh-out and jugs."""
    plan = sized.plan
    number = next_number(f"batch-{day:%y}")
    batch = Batch.objects.create(
        number=f"B{day:%y}-{number:03d}",
        design=ask.design,
        revision=ask.revision,
        mold=ask.mold,
        mold_count=ask.mold_count,
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
            portion_letter=each.portion_letter,
            **each.as_row,
        )
        for position, each in enumerate(sized.lines, start=1)
    )
    jugs = {portion.letter: portion for portion in plan.portions}
    PortionFill.objects.bulk_create(
        PortionFill(batch=batch, letter=jug.letter, name=jug.name, planned_grams=jug.grams) for jug in jugs.values()
    )
    return batch


def write_steps(batch: Batch, steps: tuple[PlannedStep, ...]) -> None:
    """Save the steps of the way, in the order of their days."""
    StepRecord.objects.bulk_create(
        StepRecord(
            batch=batch,
            position=position,
            key=step.key,
            label=step.label,
            due_on=step.on_day,
            last_on=step.last_day,
            minutes=step.minutes,
        )
        for position, step in enumerate(steps, start=1)
    )
