"""Orders and their batches to the frozen records that the risk is judged from; three queries for any number."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import OuterRef, Q, QuerySet, Subquery, Sum

from formulas.models import FormulaRevision
from orders.models import Order, OrderLine
from orders.order_states import PROMISED, OrderState
from production.bar_ledger import BarState
from production.batch_states import BatchState
from production.batches.models import Batch, BatchFor
from production.batches.planned import GONE
from production.cure.models import BarMove
from production.today.risk import BatchAtStake, LineAtStake, OrderAtStake, Risk, judge_order
from soapshop.models import Workshop

NOT_POURED = (BatchState.PLANNED, BatchState.IN_PROCESS)
NOT_CUT = (*NOT_POURED, BatchState.POURED)
WITH_A_LINE = (BarState.RESERVED.value, BarState.PACKED.value, BarState.SHIPPED.value)
STILL_FREE = (BarState.IN_CURE.value, BarState.RELEASED.value)


@dataclass(frozen=True)
class JudgedOrder:
    """A promised order with its lines, what hangs on it, and what threatens it."""

    order: Order
    lines: tuple[OrderLine, ...]
    stake: OrderAtStake
    risks: tuple[Risk, ...]

    @property
    def bars(self) -> int:
        return sum(line.bars for line in self.lines)

    @property
    def is_lost(self) -> bool:
        return any(risk.is_lost for risk in self.risks)


@dataclass(frozen=True)
class _Bars:
    """Bars given to each line by each batch, and bars of each batch that are free or in cure."""

    given: dict[tuple[int, int], int]
    free: dict[int, int]

    def to_line(self, line_id: int) -> int:
        return sum(bars for (line, _), bars in self.given.items() if line == line_id)


def lines_of_orders(states: Iterable[OrderState]) -> QuerySet[OrderLine]:
    """Return the lines of all orders in these states, each with the cure of its formula in use."""
    approved = FormulaRevision.objects.approved().filter(formula=OuterRef("design__formula"))
    return (
        OrderLine.objects.filter(order__status__in=[state.value for state in states])
        .select_related("order__customer", "design")
        .defer("frozen_design")
        .annotate(
            formula_cure_days=Subquery(approved.values("cure_days")[:1]),
            formula_least_cure_days=Subquery(approved.values("least_cure_days")[:1]),
        )
        .order_by("order__needed_by", "order__number", "position", "pk")
    )


def judge_orders(lines: Iterable[OrderLine], *, workshop: Workshop, today: date) -> list[JudgedOrder]:
    """Judge the promised orders among these lines, first needed first; two queries."""
    promised = [line for line in lines if line.order.state in PROMISED]
    by_order: defaultdict[int, list[OrderLine]] = defaultdict(list)
    for line in promised:
        by_order[line.order_id].append(line)
    stakes = _stakes(promised, workshop=workshop, today=today)
    judged = []
    for own in by_order.values():
        order = own[0].order
        stake = OrderAtStake(
            number=order.number,
            needed_by=order.needed_by,
            travel_days=order.travel_days,
            pack_days=0 if order.state == OrderState.PACKED else workshop.pack_days,
            is_ready=order.state in (OrderState.READY, OrderState.PACKED),
            lines=tuple(stakes[line.pk] for line in own),
        )
        judged.append(JudgedOrder(order, tuple(own), stake, judge_order(stake, today=today)))
    return judged


def _stakes(lines: list[Any], *, workshop: Workshop, today: date) -> dict[int, LineAtStake]:
    """Return the frozen record of each line, which carries its formula's cure days beside it.

    Bars of one batch go to the line needed first.
    """
    ids = [line.pk for line in lines]
    served: defaultdict[int, list[BatchFor]] = defaultdict(list)
    plans = BatchFor.objects.filter(line_id__in=ids).exclude(batch__status__in=GONE)
    for plan in plans.select_related("batch").defer("batch__frozen").order_by("batch__pour_on", "batch__number"):
        served[plan.line_id].append(plan)
    bars = _bars(ids, {plan.batch_id for own in served.values() for plan in own})
    found = {}
    for line in lines:
        batches = tuple(_batch(plan, bars, today=today) for plan in served[line.pk])
        found[line.pk] = LineAtStake(
            design=line.design.name,
            bars=line.bars,
            given=bars.to_line(line.pk),
            cure_days=line.formula_cure_days or workshop.cure_days,
            least_cure_days=line.formula_least_cure_days or workshop.least_cure_days,
            batches=batches,
        )
    return found


def _bars(line_ids: list[int], batch_ids: set[int]) -> _Bars:
    """Add up the moves of these lines and batches; one query."""
    given: defaultdict[tuple[int, int], int] = defaultdict(int)
    free: defaultdict[int, int] = defaultdict(int)
    rows = (
        BarMove.objects.filter(Q(line_id__in=line_ids) | Q(batch_id__in=batch_ids))
        .order_by()
        .values_list("batch_id", "line_id", "from_state", "to_state")
        .annotate(count=Sum("bars"))
    )
    for batch_id, line_id, start, end, count in rows:
        free[batch_id] += count * ((end in STILL_FREE) - (start in STILL_FREE))
        if line_id is not None:
            given[line_id, batch_id] += count * ((end in WITH_A_LINE) - (start in WITH_A_LINE))
    return _Bars(dict(given), dict(free))


def _batch(plan: BatchFor, bars: _Bars, *, today: date) -> BatchAtStake:
    batch = plan.batch
    planned = max(plan.bars - bars.given.get((plan.line_id, batch.pk), 0), 0)
    can_give = planned
    if batch.state not in NOT_CUT and batch.state != BatchState.HELD:
        left = bars.free.get(batch.pk, 0)
        can_give = min(planned, left)
        bars.free[batch.pk] = left - can_give
    poured = _pour_day(batch, today)
    is_waiting = batch.state not in (BatchState.RELEASED, BatchState.READY_FOR_REVIEW)
    return BatchAtStake(
        number=batch.number,
        planned=planned,
        can_give=can_give,
        ready_on=poured + timedelta(days=batch.cure_days) if is_waiting else None,
        least_ready_on=poured + timedelta(days=batch.least_cure_days) if is_waiting else None,
        is_held=batch.state == BatchState.HELD,
        hold_reason=batch.hold_reason,
    )


def _pour_day(batch: Batch, today: date) -> date:
    """Return the day of the pour; one that has passed without a pour is today at the earliest."""
    return batch.poured_on or max(batch.pour_on, today)
