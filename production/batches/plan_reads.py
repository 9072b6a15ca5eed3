"""What the plan shows: batches by day, orders without batches, and which orders are at risk."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch, prefetch_related_objects

from formulas.models import DesignPart
from orders.models import OrderLine
from production.batch_states import BatchState
from production.batches.asked import PLANNABLE
from production.batches.faces import PourFace, pour_faces, with_pour_plans
from production.batches.models import StepRecord
from production.batches.proposal import OrderProposal, propose_days
from production.planning.route import POUR
from soapshop.models import Workshop

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
    faces: tuple[PourFace, ...] = ()


@dataclass(frozen=True)
class PlanPage:
    days: tuple[PlannedDay, ...]
    waiting: tuple[OrderProposal, ...]
    pours: int

    @property
    def late(self) -> tuple[OrderProposal, ...]:
        return tuple(proposal for proposal in self.waiting if proposal.is_late)


def plan_page(*, today: date, until: date, workshop: Workshop) -> PlanPage:
    steps = with_pour_plans(
        StepRecord.objects.filter(
            done_on__isnull=True, due_on__lte=until, batch__status__in=[state.value for state in LIVE]
        )
    ).order_by("due_on", "batch__number", "position")
    by_day: defaultdict[date, list[StepRecord]] = defaultdict(list)
    faces = pour_faces(steps, earliest=today)
    for step in steps:
        by_day[max(step.due_on, today)].append(step)
    return PlanPage(
        days=tuple(
            PlannedDay(day, tuple(found), sum(step.minutes for step in found), faces.get(day, ()))
            for day, found in sorted(by_day.items())
        ),
        waiting=waiting_orders(today=today, workshop=workshop),
        pours=sum(1 for step in steps if step.key == POUR and step.batch.state == BatchState.PLANNED),
    )


def waiting_orders(*, today: date, workshop: Workshop) -> tuple[OrderProposal, ...]:
    """Return the orders that still need batches, first needed first, with the days they leave."""
    lines = list(
        OrderLine.objects.filter(order__status__in=[state.value for state in PLANNABLE])
        .select_related("order__customer", "design__formula", "design__mold")
        .defer("frozen_design")
        .order_by("order__needed_by", "order__number", "position", "pk")
    )
    prefetch_related_objects(lines, "design__steps")
    bare = [line for line in lines if not line.design.steps.all()]
    prefetch_related_objects(bare, Prefetch("design__parts", DesignPart.objects.select_related("part")))
    proposals = propose_days(lines, workshop=workshop, today=today)
    return tuple(proposal for proposal in proposals if proposal.open_lines)
