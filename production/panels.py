"""What production adds to the pages of the apps below: batches of an order, a design or a formula, lots on hand."""

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from django.db.models import Q, QuerySet, Sum
from django.utils import timezone

from formulas.models import Design, FormulaRevision, Material, Part
from orders.models import Order
from orders.order_states import OrderState
from production.batches.actions.planning import PLANNABLE
from production.batches.models import Batch
from production.batches.order_reads import untried_lines
from production.batches.proposal import OrderProposal, propose_for_order
from production.batches.reads import SHAPES
from production.cure.kept import kept_of_revision
from production.stock.lot_reads import lot_rows
from production.stock.models import Lot, PartLot
from soapshop.models import Workshop
from soapshop.panels import Panel

LAST_BATCHES = 10
MOST_LOTS = 20
BEFORE_THE_PLAN = (OrderState.ENQUIRY, OrderState.QUOTED)


@dataclass(frozen=True)
class PlannedBatch:
    """One batch with its stage; ``bars`` are those planned for the order in question, else all it gives."""

    batch: Batch
    shape: str
    bars: int
    days_text: str


def order_batches(order: Order) -> Panel | None:
    """The batches planned for an order, and what is still open, with the way to plan it."""
    today = timezone.localdate()
    batches = _planned(
        Batch.objects.filter(serves__line__order=order).annotate(bars_here=Sum("serves__bars")), today=today
    )
    proposal = _proposal(order, today)
    if not batches and proposal is None:
        return None
    context = {"order": order, "batches": batches, "proposal": proposal, "today": today}
    context["untried"] = [] if proposal is None else list(untried_lines(proposal.open_lines).values())
    context["may_plan"] = proposal is not None and order.state in PLANNABLE
    return Panel("production/panels/order_batches.html", context, rank=10)


def _proposal(order: Order, today: date) -> OrderProposal | None:
    """Return what is still to be poured, while that is a question at all."""
    if order.state not in (*PLANNABLE, *BEFORE_THE_PLAN):
        return None
    proposal = propose_for_order(order, workshop=Workshop.current(), today=today)
    return proposal if any(line.open_bars for line in proposal.lines) else None


def design_batches(design: Design) -> Panel | None:
    return _last_batches(Batch.objects.filter(design=design), "Made of this design")


def revision_batches(revision: FormulaRevision) -> Panel | None:
    panel = _last_batches(Batch.objects.filter(revision=revision), "Made from this revision")
    return None if panel is None else replace(panel, context={**panel.context, "kept": kept_of_revision(revision)})


def _last_batches(batches: QuerySet[Batch], title: str) -> Panel | None:
    newest = batches.order_by("-pour_on", "-number")[: LAST_BATCHES + 1]
    rows = _planned(newest, today=timezone.localdate())
    if not rows:
        return None
    context = {"title": title, "batches": rows[:LAST_BATCHES], "has_more": len(rows) > LAST_BATCHES}
    return Panel("production/panels/last_batches.html", context)


def _planned(batches: QuerySet[Batch], *, today: date) -> list[PlannedBatch]:
    return [
        PlannedBatch(batch, SHAPES[batch.state], getattr(batch, "bars_here", batch.planned_bars), _days(batch, today))
        for batch in batches.select_related("design").defer("frozen")
    ]


def _days(batch: Batch, today: date) -> str:
    """Say where a batch is in time: before its pour, or so many days into its cure."""
    if batch.poured_on is not None:
        return f"day {max((today - batch.poured_on).days, 0)} of {batch.cure_days}"
    return ""


def material_lots(material: Material) -> Panel | None:
    """The lots of a material on the shelf, first to go first."""
    today = timezone.localdate()
    lots = Lot.objects.on_the_shelf().filter(material=material).select_related("supplier", "material")
    rows = lot_rows(lots.first_to_go()[:MOST_LOTS], today=today)
    sums = Lot.objects.filter(material=material).aggregate(
        usable=Sum("grams_left", filter=Q(pk__in=Lot.objects.drawable(on=today).values("pk"))),
        all=Sum("grams_left"),
    )
    context = {
        "material": material,
        "rows": rows,
        "usable": sums["usable"] or Decimal(0),
        "all": sums["all"] or Decimal(0),
    }
    return Panel("production/panels/material_lots.html", context, rank=20)


def part_lots(part: Part) -> Panel | None:
    """The lots of a part that still hold pieces; a stamp has none."""
    if part.is_work:
        return None
    lots = PartLot.objects.filter(part=part, pieces_left__gt=0).first_to_go()[:MOST_LOTS]
    context = {"part": part, "lots": lots, "today": timezone.localdate()}
    return Panel("production/panels/part_lots.html", context, rank=20)
