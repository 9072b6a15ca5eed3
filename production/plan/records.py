"""The shop as the planner sees it: orders, batches, bars, molds, lots and days, as one frozen planning input."""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, timedelta

from formulas.models import Design, FormulaRevision, Mold
from orders.models import Order, OrderLine
from orders.order_states import OrderState
from production.batch_states import BatchState
from production.batches.models import Batch
from production.plan.models import BatchPin, HeldDate, OrderWeight, WorkWeek
from production.plan.plan_designs import batch_way, plan_design
from production.plan.supplies import supplies_for
from production.plan.wants import LineBars, bars_with, free_stock, wants_of_line
from production.plan.work_days import bench_days, current_work_days
from production.planning.calendar import WorkDays
from production.planning.plan_records import (
    POUR,
    RELEASE,
    MoldYield,
    PlanDesign,
    PlanInput,
    PlanLine,
    PlannedBatch,
    PlanStep,
    Share,
)
from soapshop.models import Workshop

WANTING = (OrderState.ACCEPTED.value, OrderState.IN_PRODUCTION.value)
STARTED = (
    BatchState.IN_PROCESS.value,
    BatchState.POURED.value,
    BatchState.CUT.value,
    BatchState.CURING.value,
    BatchState.READY_FOR_REVIEW.value,
)
# A pour so near is being prepared and stays (common practice, no source).
FROZEN_DAYS = 2
# Beyond the last due day and the longest lead, room for what comes late (four weeks, and the cure of a late pour).
TAIL_DAYS = 120
LONGEST_HORIZON_DAYS = 500


@dataclass(frozen=True)
class ShopPlan:
    """The planning input with the rows behind its keys."""

    asked: PlanInput
    calendar: WorkDays
    lines: dict[str, OrderLine]
    batches: dict[str, Batch]
    designs: dict[str, Design]
    revisions: dict[int, FormulaRevision]
    unplannable: tuple[str, ...] = ()


@dataclass
class _Draft:
    """What is gathered on the way; `there` are the bars that lie with a line already."""

    today: date
    there: dict[int, LineBars] = field(default_factory=dict)
    lines: dict[str, OrderLine] = field(default_factory=dict)
    wants: dict[str, PlanLine] = field(default_factory=dict)
    held_designs: set[int] = field(default_factory=set)
    reserved: list[Share] = field(default_factory=list)
    ways: defaultdict[str, list[MoldYield]] = field(default_factory=lambda: defaultdict(list))


def shop_plan(*, today: date, also: tuple[Design, ...] = (), held: bool = False) -> ShopPlan:
    """Read the whole shop in a fixed number of queries.

    `also` are designs that are only asked about; with `held`, dates held for customers take room like orders.
    """
    week, workshop = WorkWeek.current(), Workshop.current()
    calendar = current_work_days(week)
    draft = _Draft(today)
    orders = list(Order.objects.filter(status__in=WANTING).for_plan())
    lines = [line for order in orders for line in order.lines.all()]
    if held:
        _read_held(draft, today)
    live = Batch.objects.filter(status__in=(BatchState.PLANNED.value, *STARTED))
    batches = list(live.select_related("design", "mold__box", "revision").prefetch_related("steps", "serves"))
    rows = _design_rows({line.design_id for line in lines} | {row.pk for row in also} | draft.held_designs, batches)
    _read_lines(draft, orders, {row.pk: row for row in rows.values()}, week, calendar)
    revisions = {
        each.formula_id: each
        for each in FormulaRevision.objects.approved()
        .filter(formula__in={row.formula_id for row in rows.values()})
        .select_related("formula")
    }
    _read_shares(draft, batches)
    molds = list(Mold.objects.all())
    stock = free_stock({row.pk: row for row in rows.values()})
    supplies, uses = supplies_for(
        list(rows.values()), revisions, workshop, today=today, only_for=_only_order(draft, also)
    )
    known: list[PlanDesign] = []
    unplannable: list[str] = []
    for name, row in rows.items():
        revision = revisions.get(row.formula_id)
        design = plan_design(
            row,
            revision,
            workshop,
            own=tuple(draft.ways[name]),
            uses=uses.get(name, ()),
            pot_liters=week.pot_liters,
        )
        known.append(design)
        if revision is None or not any(way.is_for_new for way in design.yields):
            unplannable.append(name)
    steps = {design.key: design for design in known}
    pinned = set(BatchPin.objects.values_list("batch_id", flat=True))
    placed = [(each, _placed(each, steps[each.design.name], calendar, today)) for each in batches]
    fixed = tuple(place for each, place in placed if not _may_move(each, pinned, today))
    movable = tuple(place for each, place in placed if _may_move(each, pinned, today))
    wants = tuple(want for want in draft.wants.values() if want.design not in unplannable or _is_served(draft, want))
    asked_lines = {want.key for want in wants}
    asked = PlanInput(
        today=today,
        bench=bench_days(week, calendar, first=today, days=_horizon(today, wants, known)),
        designs=tuple(design for design in known if design.yields),
        molds=tuple((mold.name, mold.owned) for mold in molds if mold.box_id is None),
        lines=wants,
        rack_bars=week.rack_bars,
        pours_per_day=week.pours_per_day,
        buffer_days=week.buffer_days,
        stock=stock,
        fixed=fixed,
        supplies=supplies,
        movable=movable,
        reserved=tuple(share for share in draft.reserved if share.line in asked_lines),
    )
    return ShopPlan(
        asked, calendar, draft.lines, {each.number: each for each in batches}, rows, revisions, tuple(unplannable)
    )


def _read_lines(
    draft: _Draft, orders: list[Order], designs: dict[int, Design], week: WorkWeek, calendar: WorkDays
) -> None:
    draft.there = bars_with(line.pk for order in orders for line in order.lines.all())
    weights = OrderWeight.by_order(order.pk for order in orders)
    for order in orders:
        due = hand_over_day(order.needed_by - timedelta(days=order.travel_days), week, calendar)
        for place, line in enumerate(order.lines.all(), start=1):
            line.design = designs[line.design_id]
            for want in wants_of_line(
                line,
                f"{order.number}, line {place}",
                there=draft.there.get(line.pk, LineBars()),
                due=due,
                week=week,
                weight=weights.get(order.pk, 1),
            ):
                draft.lines[want.key] = line
                draft.wants[want.key] = want


def hand_over_day(latest: date, week: WorkWeek, calendar: WorkDays) -> date:
    """Return the last open shipping day up to this one; without shipping days any open day will do."""
    wanted = set(week.shipping_weekdays)
    day = calendar.previous_open(latest)
    for _ in range(28):
        if not wanted or (day.weekday() in wanted and calendar.is_open(day)):
            return day
        day -= timedelta(days=1)
    return calendar.previous_open(latest)


def _read_held(draft: _Draft, today: date) -> None:
    """A held date wants its bars on the day that was told, until it expires."""
    for held in HeldDate.objects.filter(expires_on__gte=today).select_related("design"):
        key = f"held {held.pk}"
        draft.held_designs.add(held.design_id)
        draft.wants[key] = PlanLine(key, held.design.name, held.bars, held.ready_on + timedelta(days=1))


def _design_rows(ids: set[int], batches: list[Batch]) -> dict[str, Design]:
    ids = ids | {each.design_id for each in batches}
    rows = (
        Design.objects.filter(pk__in=ids)
        .select_related("formula", "mold__box")
        .prefetch_related("steps", "parts__part")
    )
    return {row.name: row for row in rows}


def _read_shares(draft: _Draft, batches: list[Batch]) -> None:
    """Bars of live batches that belong to a line, and each batch's own way of filling."""
    by_id: defaultdict[int, list[str]] = defaultdict(list)
    for key, line in draft.lines.items():
        by_id[line.pk].append(key)
    left = {key: want.bars for key, want in draft.wants.items()}
    for batch in batches:
        promised = 0
        for serves in batch.serves.all():
            lies = draft.there.get(serves.line_id)
            still = serves.bars - (lies.by_batch[batch.pk] if lies else 0)
            for key in by_id.get(serves.line_id, ()):
                bars = min(still, left[key])
                if bars > 0:
                    still -= bars
                    left[key] -= bars
                    promised += bars
                    draft.reserved.append(Share(key, batch.number, bars))
        draft.ways[batch.design.name].append(batch_way(batch, promised))


def _only_order(draft: _Draft, also: tuple[Design, ...]) -> dict[str, int]:
    """The designs that one order alone waits for; what else is asked about may be wanted by anybody."""
    orders: defaultdict[str, set[int]] = defaultdict(set)
    for key, want in draft.wants.items():
        line = draft.lines.get(key)
        orders[want.design].add(line.order_id if line else 0)
    asked_about = {design.name for design in also}
    return {
        name: next(iter(own))
        for name, own in orders.items()
        if len(own) == 1 and 0 not in own and name not in asked_about
    }


def _is_served(draft: _Draft, want: PlanLine) -> bool:
    return sum(share.bars for share in draft.reserved if share.line == want.key) >= want.bars


def _may_move(batch: Batch, pinned: set[int], today: date) -> bool:
    is_near = today <= batch.pour_on < today + timedelta(days=FROZEN_DAYS)
    return batch.state == BatchState.PLANNED and batch.pk not in pinned and not is_near


def _placed(batch: Batch, design: PlanDesign, calendar: WorkDays, today: date) -> PlannedBatch:
    """The days of a batch as they stand: done, due, or counted from the pour where no step is written down."""
    written = {step.key: step.done_on or step.due_on for step in batch.steps.all()}
    pour = batch.poured_on or batch.pour_on
    days: dict[str, date] = {POUR: pour}
    for step in _in_order(design):
        days[step.key] = written.get(step.key) or _usual_day(step, days[step.anchor], calendar)
    if batch.state in (BatchState.CURING, BatchState.READY_FOR_REVIEW, BatchState.CUT, BatchState.POURED):
        days[RELEASE] = calendar.next_open(max(pour + timedelta(days=batch.cure_days), today))
    if batch.cut_on:
        days["cut"] = batch.cut_on
    return PlannedBatch(
        batch.number, design.key, batch.number, tuple((step.key, days[step.key]) for step in design.steps)
    )


def _usual_day(step: PlanStep, anchor: date, calendar: WorkDays) -> date:
    """The day of a step nobody wrote down, as work on a part that no bar of the batch gets."""
    if step.least_days >= 0:
        return anchor + timedelta(days=step.least_days)
    return calendar.previous_open(anchor + timedelta(days=step.most_days if step.most_days is not None else -1))


def _in_order(design: PlanDesign) -> list[PlanStep]:
    """Steps after the pour so that each comes after its anchor."""
    known, ordered = {POUR}, []
    waiting = [step for step in design.steps if step.key != POUR]
    while waiting:
        ready = [step for step in waiting if step.anchor in known]
        ordered += ready
        known |= {step.key for step in ready}
        waiting = [step for step in waiting if step.key not in known]
    return ordered


def _horizon(today: date, wants: tuple[PlanLine, ...], designs: list[PlanDesign]) -> int:
    last = max((want.due_on for want in wants), default=today)
    cure = max((step.least_days for design in designs for step in design.steps if step.key == RELEASE), default=0)
    return min(max((last - today).days, cure) + cure + TAIL_DAYS, LONGEST_HORIZON_DAYS)


def order_number(key: str) -> str:
    """Return the order's number of a line's key."""
    return key.partition(",")[0]
