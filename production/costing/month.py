"""What the orders handed over within a month left, by the batches they were made of; a fixed number of queries."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.utils import timezone

from orders.models import HouseTerms, Order
from orders.money.cost import margin_at
from orders.money.reads import OwedRow, accounts_of, for_money
from orders.order_states import OrderState
from production.batches.models import BatchFor
from production.batches.proposal import GONE
from production.costing.pots import PotCost, batch_pots
from soapshop.models import AuditEvent, Workshop
from soapshop.panels import Panel

MONTH_RANK = 60


@dataclass(frozen=True)
class MonthRow:
    """``margin`` is None while a price or a cost is missing."""

    order: Order
    margin: Decimal | None


@dataclass(frozen=True)
class MonthMargin:
    rows: tuple[MonthRow, ...]

    @property
    def margin(self) -> Decimal:
        return sum((row.margin for row in self.rows if row.margin is not None), Decimal(0))

    @property
    def uncounted(self) -> tuple[Order, ...]:
        return tuple(row.order for row in self.rows if row.margin is None)


def month_margin(first: date, last: date, *, today: date) -> MonthMargin:
    orders = for_money(Order.objects.filter(pk__in=_handed_over(first, last)).order_by("number"))
    rows = accounts_of(orders, today=today)
    serves = (
        BatchFor.objects.filter(line__order__in=[row.order.pk for row in rows])
        .exclude(batch__status__in=GONE)
        .select_related("batch")
        .order_by("batch__pour_on", "pk")
    )
    by_line: dict[int, list[BatchFor]] = {}
    for each in serves:
        by_line.setdefault(each.line_id, []).append(each)
    batches = list({each.batch_id: each.batch for each in serves}.values())
    pots = batch_pots(batches, workshop=Workshop.current(), terms=HouseTerms.current())
    return MonthMargin(tuple(MonthRow(row.order, _margin(row, by_line, pots)) for row in rows))


def _handed_over(first: date, last: date) -> list[int]:
    """Return the orders that left the packing table within these days, from the trail of their moves."""
    moves = AuditEvent.objects.filter(
        subject_type=Order._meta.label_lower,
        verb="move_order",
        before__status=OrderState.PACKED.value,
        at__date__range=(first, last),
    )
    return [int(pk) for pk in moves.values_list("subject_id", flat=True)]


def _margin(row: OwedRow, by_line: dict[int, list[BatchFor]], pots: dict[int, PotCost]) -> Decimal | None:
    if row.account.sum is None:
        return None
    whole = Decimal(0)
    for line, priced in zip(row.order.lines.all(), row.account.sum.lines, strict=False):
        sheets = [pots[each.batch_id].sheet for each in by_line.get(line.pk, [])]
        if not sheets or sheets[0] is None or not sheets[0].is_complete:
            return None
        whole += margin_at(priced.net / line.bars, sheets[0]).per_bar * line.bars
    return whole


def month_panel(days: tuple[date, date]) -> Panel:
    page = month_margin(*days, today=timezone.localdate())
    return Panel("production/costing/month_panel.html", {"page": page, "first": days[0]}, rank=MONTH_RANK)
