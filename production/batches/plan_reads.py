"""What the plan shows: batches by day, orders without batches, and which orders are at risk."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date

from orders.models import Order
from orders.order_states import OrderState
from production.batch_states import BatchState
from production.batches.models import Batch, StepRecord
from production.batches.proposal import OrderProposal, propose_for_orders
from soapshop.models import Workshop

WAITING_ORDERS = 50
LIVE = (
    BatchState.PLANNED,
    BatchState.IN_PROCESS,
    BatchState.POURED,
    BatchState.CUT,
    BatchState.CURING,
    BatchState.READY_FOR_REVIEW,
)


@dataclass(frozen=True)
class PlannedDay:
    day: date
    steps: tuple[StepRecord, ...]
    minutes: int


@dataclass(frozen=True)
class PlanPage:
    days: tuple[PlannedDay, ...]
    waiting: tuple[OrderProposal, ...]
    pours: int

    @property
    def late(self) -> tuple[OrderProposal, ...]:
        return tuple(proposal for proposal in self.waiting if proposal.is_late)


def plan_page(*, today: date, until: date, workshop: Workshop) -> PlanPage:
    steps = (
        StepRecord.objects.filter(
            done_on__isnull=True, due_on__lte=until, batch__status__in=[state.value for state in LIVE]
        )
        .select_related("batch__design")
        .order_by("due_on", "batch__number", "position")
    )
    by_day: defaultdict[date, list[StepRecord]] = defaultdict(list)
    for step in steps:
        by_day[max(step.due_on, today)].append(step)
    return PlanPage(
        days=tuple(
            PlannedDay(day, tuple(found), sum(step.minutes for step in found)) for day, found in sorted(by_day.items())
        ),
        waiting=waiting_orders(today=today, workshop=workshop),
        pours=Batch.objects.filter(status=BatchState.PLANNED.value, pour_on__lte=until).count(),
    )


def waiting_orders(*, today: date, workshop: Workshop) -> tuple[OrderProposal, ...]:
    """Return accepted orders that still need batches, with their proposals."""
    orders = Order.objects.filter(status__in=[OrderState.ACCEPTED.value, OrderState.IN_PRODUCTION.value]).for_page()
    proposals = propose_for_orders(list(orders[:WAITING_ORDERS]), workshop=workshop, today=today)
    return tuple(proposal for proposal in proposals if any(line.open_bars for line in proposal.lines))
