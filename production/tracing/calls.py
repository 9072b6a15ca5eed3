"""The call list of a trace: which orders have, had or are promised bars of some batches."""

from collections import defaultdict
from collections.abc import Container, Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import F, Max, Q, QuerySet, Sum
from django.utils import timezone

from orders.models import Order, OrderLine
from production.bar_ledger import BarState
from production.batch_states import BatchState
from production.batches.models import BatchFor
from production.cure.models import BarMove
from production.tracing.graph import Node, batch
from production.tracing.kin import Holding
from production.tracing.records import Call, LineFound

# Of these the ledger speaks: nothing is promised any more.
PROMISES_NOTHING = (BatchState.RELEASED, BatchState.CANCELLED, BatchState.SCRAPPED, BatchState.REJECTED)


@dataclass(frozen=True)
class OfBatch:
    """What one order has of one batch."""

    order_id: int
    batch_id: int
    line: LineFound


def orders_of(holding: Holding) -> QuerySet[Order]:
    """Return the orders that have, had or are promised bars of these batches, newest need first."""
    here = holding.where("batch_id")
    given = BarMove.objects.filter(here, line__isnull=False).order_by().values("line_id")
    promised = BatchFor.objects.filter(here).values("line_id")
    # The number plus nothing: one run along the lines, in place of looking each of thousands up (see Holding.batches).
    all_lines = OrderLine.objects.annotate(own_number=F("pk") + 0).order_by()
    lines = all_lines.filter(Q(own_number__in=given) | Q(own_number__in=promised)).values("order_id")
    return Order.objects.filter(pk__in=lines).order_by("-needed_by", "-pk")


def parts_of(orders: list[Order]) -> list[OfBatch]:
    """Return what these orders have or are promised, batch by batch, of every batch; two queries."""
    order_ids = [order.pk for order in orders]
    return [*_given(order_ids), *_promised(order_ids)]


def calls_of(orders: list[Order], parts: Iterable[OfBatch], *, of: Container[Node]) -> Iterable[Call]:
    """Yield each order with what it has ``of`` some batches."""
    lines: defaultdict[int, list[LineFound]] = defaultdict(list)
    for part in parts:
        if batch(part.batch_id) in of:
            lines[part.order_id].append(part.line)
    for order in orders:
        yield Call(
            order=order.number,
            customer=order.customer.name,
            email=order.customer.email,
            phone=order.customer.phone,
            state=order.state.label,
            needed_by=order.needed_by,
            lines=tuple(lines[order.pk]),
        )


Place = tuple[int, int, str, str]
NAMES = ("line__order_id", "batch_id", "batch__number", "finish")


def _given(order_ids: list[int]) -> list[OfBatch]:
    counts: defaultdict[Place, defaultdict[str, int]] = defaultdict(lambda: defaultdict(int))
    shipped_at: dict[Place, Any] = {}
    rows = BarMove.objects.filter(line__order__in=order_ids).order_by("batch__number", "finish")
    for row in rows.values(*NAMES, "from_state", "to_state").annotate(count=Sum("bars"), last=Max("at")):
        place = tuple(row[name] for name in NAMES)
        counts[place][row["from_state"]] -= row["count"]
        counts[place][row["to_state"]] += row["count"]
        if row["to_state"] == BarState.SHIPPED.value:
            shipped_at[place] = max(row["last"], shipped_at.get(place, row["last"]))
    return [
        OfBatch(
            order_id,
            batch_id,
            LineFound(
                batch=number,
                finish=finish,
                kept=own[BarState.RESERVED.value] + own[BarState.PACKED.value],
                shipped=own[BarState.SHIPPED.value],
                shipped_on=timezone.localdate(shipped_at[place]) if place in shipped_at else None,
            ),
        )
        for place, own in counts.items()
        for order_id, batch_id, number, finish in (place,)
        if any(own[state.value] for state in (BarState.RESERVED, BarState.PACKED, BarState.SHIPPED))
        or place in shipped_at
    ]


def _promised(order_ids: list[int]) -> list[OfBatch]:
    """Bars planned for an order in batches that are not released yet; afterwards the ledger speaks."""
    rows = (
        BatchFor.objects.filter(line__order__in=order_ids)
        .exclude(batch__status__in=[state.value for state in PROMISES_NOTHING])
        .order_by("batch__number")
        .values_list("line__order_id", "batch_id", "batch__number")
        .annotate(bars=Sum("bars"))
    )
    return [
        OfBatch(order_id, batch_id, LineFound(batch=number, finish="", promised=bars))
        for order_id, batch_id, number, bars in rows
    ]
