"""The trace of one thing from the shop's books, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Sum

from orders.models import Order
from production.bar_ledger import BarState
from production.batch_states import BatchState
from production.batches.models import Batch
from production.batches.reads import SHAPES
from production.cure.models import BarMove
from production.part_batches.models import PartBatch, PartWeighing
from production.stock.models import Lot, PartLot
from production.tracing.calls import calls_of, orders_of, parts_of
from production.tracing.graph import Kind, Node, of_kind
from production.tracing.kin import Holding, ancestors, descendants, kin_edges
from production.tracing.records import Bars, BatchFound, LotFound, PartLotFound, PotFound, Trace
from production.tracing.subjects import Subject

# Of a long list the first few and a way to the rest; up to this many more stand on one page with them.
PAGE_SIZE = 10
STILL_ONE_PAGE = 15
# A paper or a file holds them all; no shop of this size comes near.
ALL = 30_000


@dataclass(frozen=True)
class Walked:
    """Both ways from the starts. ``down`` names every lot; of the batches, which may be thousands, it names few."""

    starts: frozenset[Node]
    up: Mapping[Node, int]
    down: Mapping[Node, int]

    @property
    def lots_down(self) -> dict[Node, int]:
        return {node: steps for node, steps in self.down.items() if node not in self.starts}

    @property
    def holding(self) -> Holding:
        return Holding(self.down)


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
    starts = frozenset(subject.starts)
    up = {node: steps for node, steps in ancestors(subject.starts, kin).items() if node not in starts}
    return Walked(starts, up, descendants(subject.starts, kin))


def trace_page(subject: Subject, *, batch_page: Any = 1, call_page: Any = 1) -> TracePages:
    return _pages(subject, PAGE_SIZE, batch_page, call_page)


def whole_trace(subject: Subject) -> Trace:
    """Return the trace with every batch and every order in it, for paper, file and recall."""
    return _pages(subject, ALL, 1, 1).trace


def _pages(subject: Subject, size: int, batch_page: Any, call_page: Any) -> TracePages:
    ways = walked(subject)
    # Their numbers alone are read at once: counting thousands of them costs as much as reading them.
    batch_ids = list(ways.holding.batches.values_list("pk", flat=True))
    order_ids = list(orders_of(ways.holding).values_list("pk", flat=True))
    batches = Paginator(batch_ids, size, orphans=STILL_ONE_PAGE).get_page(batch_page)
    calls = Paginator(order_ids, size, orphans=STILL_ONE_PAGE).get_page(call_page)
    return TracePages(_trace(subject, ways, batches, calls), batches, calls)


def _trace(subject: Subject, ways: Walked, batches: Page, calls: Page) -> Trace:
    around = {**ways.up, **ways.lots_down}
    lots, part_lots = _lots(around), _part_lots(around)
    parents = _batches(of_kind(ways.up, Kind.BATCH))
    shown = _batches(list(batches.object_list))
    orders = _orders(list(calls.object_list))
    parts = parts_of(orders)
    steps = ways.holding.steps_to({row.pk for row in shown} | {part.batch_id for part in parts})
    moves = BarMove.objects.filter(ways.holding.where("batch_id"))
    return Trace(
        title=subject.title,
        asked=subject.code,
        kind=subject.kind,
        from_lots=tuple(lots[node] for node in ways.up if node in lots),
        from_part_lots=tuple(part_lots[node] for node in ways.up if node in part_lots),
        from_batches=tuple(_batch(row, ways.up) for row in parents),
        to_lots=tuple(lots[node] for node in ways.lots_down if node in lots),
        to_part_lots=tuple(part_lots[node] for node in ways.lots_down if node in part_lots),
        to_pots=_pots({*ways.starts, *ways.lots_down}),
        batches=tuple(_batch(row, steps) for row in shown),
        batch_count=batches.paginator.count,
        bars=_bars(moves.order_by().values("from_state", "to_state").annotate(count=Sum("bars"))),
        bars_by_batch=_bars_by_batch(shown),
        calls=tuple(calls_of(orders, parts, of=steps)),
        call_count=calls.paginator.count,
    )


def _batches(ids: list[int]) -> list[Batch]:
    """Newest pour first."""
    if not ids:
        return []
    rows = Batch.objects.filter(pk__in=ids).select_related("design").order_by("-pour_on", "-pk")
    return list(rows.only("number", "status", "pour_on", "poured_on", "design__name"))


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
    if not (ids := of_kind(steps, Kind.LOT)):
        return {}
    rows = Lot.objects.filter(pk__in=ids).select_related("material", "supplier")
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
    if not (ids := of_kind(steps, Kind.PART_LOT)):
        return {}
    rows = PartLot.objects.filter(pk__in=ids).select_related("part")
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


def _pots(nodes: Iterable[Node]) -> tuple[PotFound, ...]:
    """Return the pots of parts that hold something of these lots and gave no lot of their own; one query."""
    drawn = PartWeighing.objects.filter(lot_id__in=of_kind(nodes, Kind.LOT), actual_grams__gt=0)
    rows = PartBatch.objects.filter(lot__isnull=True, pk__in=drawn.values("part_batch_id")).select_related("part")
    return tuple(
        PotFound(row.number, row.part.name, row.state.label, row.made_on) for row in rows.defer("frozen").order_by("pk")
    )


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


def _orders(ids: list[int]) -> list[Order]:
    return list(Order.objects.filter(pk__in=ids).select_related("customer").order_by("-needed_by", "-pk"))
