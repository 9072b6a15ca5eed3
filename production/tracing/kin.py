"""The edges of the graph from the shop's books, in a fixed number of queries however deep the descent goes.

Most lots go straight into bars. Only few come from a batch or another lot, so their whole kinship is read at once and
walked in memory; the many plain draws are read for the lots or batches that the walk has reached.
"""

from collections.abc import Iterable

from django.db.models import Exists, OuterRef, QuerySet, Sum

from production.batches.models import Weighing
from production.stock.models import Origin, PartMove
from production.tracing.graph import Edge, Kind, Node, batch, lot, of_kind, part_lot, walk


def descendants(starts: Iterable[Node], kin: list[Edge]) -> dict[Node, int]:
    """Return all that holds something of the starts, by steps; two queries."""
    starts = tuple(starts)
    near = walk(starts, kin)
    weighed = _weighed(Weighing.objects.filter(lot_id__in=of_kind(near, Kind.LOT)))
    pieces = _pieces(PartMove.objects.filter(lot_id__in=of_kind(near, Kind.PART_LOT)))
    return walk(starts, [*kin, *weighed, *pieces])


def ancestors(starts: Iterable[Node], kin: list[Edge]) -> dict[Node, int]:
    """Return all that the starts hold something of, by steps; two queries."""
    starts = tuple(starts)
    near = of_kind(walk(starts, kin, backward=True), Kind.BATCH)
    weighed = _weighed(Weighing.objects.filter(batch_id__in=near))
    pieces = _pieces(PartMove.objects.filter(batch_id__in=near))
    return walk(starts, [*kin, *weighed, *pieces], backward=True)


def kin_edges() -> list[Edge]:
    """Return every origin noted, and what went into batches that something in use came from; three queries."""
    sources = _batches_with_offspring_in_use()
    return [
        *_origins(),
        *_weighed(Weighing.objects.filter(batch_id__in=sources)),
        *_pieces(PartMove.objects.filter(batch_id__in=sources)),
    ]


def _origins() -> Iterable[Edge]:
    names = ("lot_id", "part_lot_id", "from_lot_id", "from_part_lot_id", "from_batch_id")
    for lot_id, part_lot_id, from_lot, from_part_lot, from_batch in Origin.objects.values_list(*names):
        if from_lot is not None:
            source = lot(from_lot)
        else:
            source = batch(from_batch) if from_part_lot is None else part_lot(from_part_lot)
        yield Edge(source, part_lot(part_lot_id) if lot_id is None else lot(lot_id))


def _batches_with_offspring_in_use() -> QuerySet:
    of_batch = Origin.objects.filter(from_batch__isnull=False).order_by()
    is_in_use = (
        Exists(Weighing.objects.filter(lot=OuterRef("lot")))
        | Exists(PartMove.objects.filter(lot=OuterRef("part_lot"), batch__isnull=False))
        | Exists(Origin.objects.filter(from_lot=OuterRef("lot")))
        | Exists(Origin.objects.filter(from_part_lot=OuterRef("part_lot")))
    )
    return of_batch.filter(is_in_use).values("from_batch_id")


def _weighed(rows: QuerySet[Weighing]) -> Iterable[Edge]:
    """A lot is in a batch when the scale said so; a weighing that was undone names no lot any more."""
    into = rows.filter(lot__isnull=False, actual_grams__gt=0).order_by().values_list("lot_id", "batch_id").distinct()
    return (Edge(lot(lot_id), batch(batch_id)) for lot_id, batch_id in into)


def _pieces(rows: QuerySet[PartMove]) -> Iterable[Edge]:
    taken = rows.filter(batch__isnull=False).order_by().values("lot_id", "batch_id").annotate(net=Sum("pieces"))
    return (Edge(part_lot(row["lot_id"]), batch(row["batch_id"])) for row in taken.filter(net__lt=0))
