"""What the plan of one order shows: what is open, what is planned, what has changed since, what stands behind it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from formulas.drawing import Picture
from formulas.models import Part
from orders.avoid import AvoidHit
from orders.models import Order, OrderLine
from orders.pictures import line_pictures
from orders.records import avoid_hits_of
from production.batch_states import BatchState
from production.batches.models import Batch
from production.batches.proposal import LineProposal, OrderProposal, propose_for_order
from production.batches.reads import SHAPES
from production.batches.records import plan_of
from production.batches.schedule import label_and_pack_days
from production.batches.shrinkage import DryingBar, shrink_words
from production.cure.bar_counts import bars_with_lines
from production.cure.models import BarMove
from production.plan.work_days import current_work_days
from production.test_pours.reads import untried
from soapshop.models import Workshop


@dataclass(frozen=True)
class BatchOutlook:
    """One planned batch as the order sees it: when its bars are ready, and by how many days that is too late."""

    batch: Batch
    shape: str
    ready_on: date
    late_days: int


@dataclass(frozen=True)
class LinePlan:
    proposal: LineProposal
    batches: tuple[BatchOutlook, ...]
    changes: tuple[str, ...]
    hits: tuple[AvoidHit, ...]
    picture: Picture
    untried: str = ""


@dataclass(frozen=True)
class OrderPlanPage:
    order: Order
    proposal: OrderProposal
    lines: tuple[LinePlan, ...]
    ready_by: date
    shrink: str = ""

    @property
    def late_days(self) -> int:
        """By how many days the order is late: for what is open and for what is planned."""
        planned = max((each.late_days for line in self.lines for each in line.batches), default=0)
        return max(self.proposal.late_days, planned)


def order_plan_page(number: str, *, workshop: Workshop, today: date) -> OrderPlanPage:
    order = Order.objects.for_page().get(number=number)
    proposal = propose_for_order(order, workshop=workshop, today=today, calendar=current_work_days(), with_grams=True)
    hits, pictures = avoid_hits_of(order), line_pictures(line.line for line in proposal.lines)
    untried = untried_lines(proposal.open_lines)
    ready_by = order.needed_by - timedelta(days=order.travel_days + sum(label_and_pack_days(workshop)))
    lines = tuple(
        LinePlan(
            proposal=line,
            batches=tuple(_outlook(batch, ready_by, today) for batch in line.planned.batches),
            changes=tuple(_changes(line)),
            hits=hits[line.line.pk],
            untried=untried.get(line.line.design_id, ""),
            picture=pictures[line.line.pk],
        )
        for line in proposal.lines
    )
    return OrderPlanPage(order, proposal, lines, ready_by, shrink_words(_drying(proposal)))


def _drying(proposal: OrderProposal) -> Iterator[DryingBar]:
    for line in proposal.lines:
        plans = [pour.sized.plan for pour in line.pours if pour.sized is not None]
        plans += [plan_of(batch) for batch in line.planned.batches[:1]]
        for plan in plans[:1]:
            yield DryingBar(line.line.design.name, plan.batter_grams, plan.water_grams, plan.lye_concentration_percent)


def untried_lines(lines: Sequence[LineProposal]) -> dict[int, str]:
    """Return by design what was never poured here, for lines whose formula is approved."""
    found = [line for line in lines if line.revision is not None]
    return untried(
        {line.line.design for line in found},
        {line.revision.formula_id: line.revision for line in found if line.revision is not None},
        pour_on={line.line.design_id: line.countback.pour_by for line in found if line.countback is not None},
    )


def _outlook(batch: Batch, ready_by: date, today: date) -> BatchOutlook:
    """A batch not poured yet is poured on its day, or today when that has passed."""
    poured = batch.poured_on or max(batch.pour_on, today)
    ready_on = poured + timedelta(days=batch.cure_days)
    is_done = batch.state == BatchState.RELEASED
    return BatchOutlook(batch, SHAPES[batch.state], ready_on, 0 if is_done else max((ready_on - ready_by).days, 0))


def _changes(found: LineProposal) -> Iterator[str]:
    """Say where the line no longer is what its batches were planned for."""
    if not found.planned.batches:
        return
    over = found.planned.bars - found.line.bars
    if over > 0:
        yield f"{_bars(over)} more than ordered are planned. They are spare, or cancel a batch that is not begun."
    if found.open_bars:
        return
    for finish in found.line.finishes.all():
        with_part = found.planned.bars_with_part[finish.part.key]
        if with_part != finish.bars:
            yield (
                f"{finish.part.name}: the order asks for {_bars(finish.bars)}, the batches carry {with_part}. "
                "Tell the bench, or cancel a batch that is not begun and plan again."
            )
    asked = {finish.part.key for finish in found.line.finishes.all()}
    for key, bars in found.planned.bars_with_part.items():
        if bars and key not in asked:
            name = Part.objects.filter(key=key).values_list("name", flat=True).first() or key
            yield f"The batches carry {name} on {_bars(bars)}, and the order no longer asks for it. Tell the bench."


@dataclass(frozen=True)
class BehindOrder:
    """What a cancelled order leaves: planned batches that go with it, begun ones that go on, bars that come free."""

    cancelled: tuple[Batch, ...]
    going_on: tuple[Batch, ...]
    bars_kept: int


def behind_order(order: Order) -> BehindOrder:
    batches = (
        Batch.objects.filter(serves__line__order=order).distinct().prefetch_related("serves__line").defer("frozen")
    )
    cancelled = tuple(batch for batch in batches if batch.state == BatchState.PLANNED and _is_alone(batch, order))
    going_on = tuple(
        batch for batch in batches if batch not in cancelled and batch.state not in (BatchState.CANCELLED,)
    )
    lines = OrderLine.objects.filter(order=order)
    held = bars_with_lines(BarMove.objects.filter(line__in=lines))
    return BehindOrder(cancelled, going_on, sum(each.reserved + each.packed for each in held))


def _is_alone(batch: Batch, order: Order) -> bool:
    return all(served.line.order_id == order.pk for served in batch.serves.all())


def _bars(count: int) -> str:
    return "1 bar" if count == 1 else f"{count} bars"
