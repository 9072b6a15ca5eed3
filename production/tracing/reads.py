"""The trace of one thing from the shop's books, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Max, Q, QuerySet, Sum
from django.utils import timezone

from orders.models import Order, OrderLine
from production.bar_ledger import BarState
from production.batch_states import BatchState
from production.batches.models import Batch, BatchFor
from production.batches.reads import SHAPES
from production.cure.models import BarMove
from production.stock.models import Lot, PartLot
from production.tracing.graph import Kind, Node, of_kind
from production.tracing.kin import ancestors, descendants, kin_edges
from production.tracing.records import Bars, BatchFound, Call, LineFound, LotFound, PartLotFound, Trace
from production.tracing.subjects import Subject

PAGE_SIZE = 50
# A paper or a file holds them all; no shop of this size comes near.
ALL = 30_000


@dataclass(frozen=True)
class Walked:
    """Both ways from the starts, each node with its steps; the starts themselves stand in neither."""

    starts: tuple[Node, ...]
    up: Mapping[Node, int]
    down: Mapping[Node, int]

    @property
    def batches(self) -> list[int]:
        """The batches that hold something of the starts; a batch that is traced is its own first."""
        return of_kind((*self.starts, *self.down), Kind.BATCH)


@dataclass(frozen=True)
class TracePages:
    """One trace with the two long lists in pages."""

    trace: Trace
    batches: Page
    calls: Page


@dataclass(frozen=True)
class BatchRow:
    batch: BatchFound
    shape: str
    bars: Bars


def batch_rows(trace: Trace) -> list[BatchRow]:
    """Return the batches of a trace with the shape of their stage and the bars of each."""
    return [BatchRow(row, SHAPES[BatchState(row.status)], trace.bars_of(row.number)) for row in trace.batches]


def walked(subject: Subject) -> Walked:
    """Walk both ways; seven queries whatever the depth."""
    kin = kin_edges()
    starts = set(subject.starts)
    up = {node: steps for node, steps in ancestors(subject.starts, kin).items() if node not in starts}
    down = {node: steps for node, steps in descendants(subject.starts, kin).items() if node not in starts}
    return Walked(subject.starts, up, down)


def trace_page(subject: Subject, *, batch_page: Any = 1, call_page: Any = 1) -> TracePages:
    ways = walked(subject)
    batches = Paginator(_batches(ways.batches), PAGE_SIZE).get_page(batch_page)
    calls = Paginator(_orders(ways.batches), PAGE_SIZE).get_page(call_page)
    return TracePages(_trace(subject, ways, batches, calls), batches, calls)


def whole_trace(subject: Subject) -> Trace:
    """Return the trace with every batch and every order in it, for paper, file and recall."""
    ways = walked(subject)
    batches = Paginator(_batches(ways.batches), ALL).get_page(1)
    calls = Paginator(_orders(ways.batches), ALL).get_page(1)
    return _trace(subject, ways, batches, calls)


def _trace(subject: Subject, ways: Walked, batches: Page, calls: Page) -> Trace:
    lots = _lots({**ways.up, **ways.down})
    part_lots = _part_lots({**ways.up, **ways.down})
    parents = _batches(of_kind(ways.up, Kind.BATCH))
    shown = list(batches.object_list)
    moves = BarMove.objects.filter(batch_id__in=ways.batches)
    return Trace(
        title=subject.title,
        asked=subject.code,
        kind=subject.kind,
        from_lots=tuple(lots[node] for node in ways.up if node in lots),
        from_part_lots=tuple(part_lots[node] for node in ways.up if node in part_lots),
        from_batches=tuple(_batch(row, ways.up) for row in parents) if any(_of_batches(ways.up)) else (),
        to_lots=tuple(lots[node] for node in ways.down if node in lots),
        to_part_lots=tuple(part_lots[node] for node in ways.down if node in part_lots),
        batches=tuple(_batch(row, ways.down) for row in shown),
        batch_count=batches.paginator.count,
        bars=_bars(moves.order_by().values("from_state", "to_state").annotate(count=Sum("bars"))),
        bars_by_batch=_bars_by_batch(shown),
        calls=tuple(_calls(list(calls.object_list), ways.batches)),
        call_count=calls.paginator.count,
    )


def _of_batches(nodes: Iterable[Node]) -> Iterable[bool]:
    return (node.kind == Kind.BATCH for node in nodes)


def _batches(ids: list[int]) -> QuerySet[Batch]:
    """Newest pour first."""
    rows = Batch.objects.filter(pk__in=ids).select_related("design").order_by("-pour_on", "-pk")
    return rows.only("number", "status", "pour_on", "poured_on", "design__name")


def _batch(row: Batch, steps: Mapping[Node, int]) -> BatchFound:
    return BatchFound(
        number=row.number,
        design=row.design.name,
        state=BatchState(row.status).label,
        status=row.status,
        pour_on=row.pour_on,
        poured_on=row.poured_on,
        steps=steps.get(Node(Kind.BATCH, row.pk), 0),
    )


def _lots(steps: Mapping[Node, int]) -> dict[Node, LotFound]:
    rows = Lot.objects.filter(pk__in=of_kind(steps, Kind.LOT)).select_related("material", "supplier")
    return {
        (node := Node(Kind.LOT, row.pk)): LotFound(
            code=row.code,
            material=row.material.name,
            supplier=row.supplier.name if row.supplier else "",
            supplier_lot=row.supplier_lot,
            received_on=row.received_on,
            state=row.state.label,
            grams_left=row.grams_left,
            steps=steps[node],
        )
        for row in rows
    }


def _part_lots(steps: Mapping[Node, int]) -> dict[Node, PartLotFound]:
    rows = PartLot.objects.filter(pk__in=of_kind(steps, Kind.PART_LOT)).select_related("part")
    return {
        (node := Node(Kind.PART_LOT, row.pk)): PartLotFound(
            code=row.code,
            part=row.part.name,
            made_on=row.made_on,
            pieces_left=row.pieces_left,
            is_held=row.is_held,
            steps=steps[node],
        )
        for row in rows
    }


def _bars(rows: Iterable[Any]) -> Bars:
    """Add up moves given as from, to and count."""
    places: defaultdict[BarState, int] = defaultdict(int)
    for row in rows:
        places[BarState(row["from_state"])] -= row["count"]
        places[BarState(row["to_state"])] += row["count"]
    made = -places.pop(BarState.MADE, 0)
    return Bars(made, {state: bars for state, bars in places.items() if bars})


def _bars_by_batch(shown: list[Batch]) -> dict[str, Bars]:
    rows: defaultdict[int, list[Any]] = defaultdict(list)
    moves = BarMove.objects.filter(batch_id__in=[row.pk for row in shown]).order_by()
    for row in moves.values("batch_id", "from_state", "to_state").annotate(count=Sum("bars")):
        rows[row["batch_id"]].append(row)
    return {row.number: _bars(rows[row.pk]) for row in shown}


def _orders(batch_ids: list[int]) -> QuerySet[Order]:
    """Return the orders that have, had or are promised bars of these batches, newest need first."""
    has_bars = Q(pk__in=BarMove.objects.filter(batch_id__in=batch_ids, line__isnull=False).values("line_id"))
    is_promised = Q(pk__in=BatchFor.objects.filter(batch_id__in=batch_ids).values("line_id"))
    lines = OrderLine.objects.filter(has_bars | is_promised).values("order_id")
    return Order.objects.filter(pk__in=lines).select_related("customer").order_by("-needed_by", "-pk")


def _calls(orders: list[Order], batch_ids: list[int]) -> Iterable[Call]:
    """Yield each order with what it has of these batches; two queries."""
    lines: defaultdict[int, list[LineFound]] = defaultdict(list)
    for order_id, line in (*_given(orders, batch_ids), *_promised(orders, batch_ids)):
        lines[order_id].append(line)
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


Place = tuple[int, str, str]


def _given(orders: list[Order], batch_ids: list[int]) -> list[tuple[int, LineFound]]:
    moves = BarMove.objects.filter(line__order__in=[order.pk for order in orders], batch_id__in=batch_ids)
    counts: defaultdict[Place, defaultdict[str, int]] = defaultdict(lambda: defaultdict(int))
    shipped_at: dict[Place, Any] = {}
    rows = moves.order_by("batch__number", "finish").values(
        "line__order_id", "batch__number", "finish", "from_state", "to_state"
    )
    for row in rows.annotate(count=Sum("bars"), last=Max("at")):
        place = (row["line__order_id"], row["batch__number"], row["finish"])
        counts[place][row["from_state"]] -= row["count"]
        counts[place][row["to_state"]] += row["count"]
        if row["to_state"] == BarState.SHIPPED.value:
            shipped_at[place] = max(row["last"], shipped_at.get(place, row["last"]))
    return [
        (
            place[0],
            LineFound(
                batch=place[1],
                finish=place[2],
                kept=own[BarState.RESERVED.value] + own[BarState.PACKED.value],
                shipped=own[BarState.SHIPPED.value],
                shipped_on=timezone.localdate(shipped_at[place]) if place in shipped_at else None,
            ),
        )
        for place, own in counts.items()
        if any(own[state.value] for state in (BarState.RESERVED, BarState.PACKED, BarState.SHIPPED))
        or place in shipped_at
    ]


def _promised(orders: list[Order], batch_ids: list[int]) -> list[tuple[int, LineFound]]:
    """Bars planned for an order in batches that are not released yet; afterwards the ledger speaks."""
    waiting = [BatchState.RELEASED, BatchState.CANCELLED, BatchState.SCRAPPED, BatchState.REJECTED]
    rows = (
        BatchFor.objects.filter(line__order__in=[order.pk for order in orders], batch_id__in=batch_ids)
        .exclude(batch__status__in=[state.value for state in waiting])
        .order_by("batch__number")
        .values_list("line__order_id", "batch__number")
        .annotate(bars=Sum("bars"))
    )
    return [(order_id, LineFound(batch=number, finish="", promised=bars)) for order_id, number, bars in rows]
