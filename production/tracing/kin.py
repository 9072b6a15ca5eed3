"""The edges of the graph from the shop's books, in a fixed number of queries however deep the descent goes.

Most lots go straight into bars. Only few come from a batch or another lot, so their whole kinship is read at once and
walked in memory; the many batches that nothing came from yet are never read, only named as a query.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db.models import F, Q, QuerySet, Sum

from production.batches.models import Batch, Weighing
from production.stock.models import Origin, PartMove
from production.tracing.graph import Edge, Kind, Node, batch, lot, of_kind, part_lot, walk


def descendants(starts: Iterable[Node], kin: list[Edge]) -> dict[Node, int]:
    """Return every lot that holds something of the starts, and the batches between them, by steps; two queries.

    Batches that nothing came from are left out, the starts among them excepted: see ``Holding``.
    """
    starts = tuple(starts)
    near = walk(starts, kin)
    have_offspring = Origin.objects.filter(from_batch__isnull=False).order_by().values("from_batch_id")
    draws, pieces = _draws_from(near), _pieces_from(near)
    edges = [
        *kin,
        *_weighed(draws.filter(batch_id__in=have_offspring)),
        *_pieces(pieces.filter(batch_id__in=have_offspring)),
    ]
    return walk(starts, edges)


@dataclass(frozen=True)
class Holding:
    """The batches that hold something of what was traced, a traced batch too. They may be thousands: never read."""

    family: Mapping[Node, int]

    def where(self, batch_id: str) -> Q:
        """Return the condition that a column names one of these batches."""
        holds = Q(**{f"{batch_id}__in": _draws_from(self.family).filter(actual_grams__gt=0).values("batch_id")})
        if of_kind(self.family, Kind.PART_LOT):
            taken = _net(_pieces_from(self.family)).filter(net__lt=0).values("batch_id")
            holds |= Q(**{f"{batch_id}__in": taken})
        if known := of_kind(self.family, Kind.BATCH):
            holds |= Q(**{f"{batch_id}__in": known})
        return holds

    @property
    def batches(self) -> QuerySet[Batch]:
        """Newest pour first.

        The number plus nothing keeps the database from looking each batch up by its number, a wide row at a time: it
        runs along the pour days instead, and stops when a page is full.
        """
        rows = Batch.objects.annotate(own_number=F("pk") + 0).filter(self.where("own_number"))
        return rows.order_by("-pour_on", "-pk")

    def steps_to(self, batches: Iterable[int]) -> dict[Node, int]:
        """Return the fewest steps to these of the batches; two queries."""
        edges = [
            *_weighed(_draws_from(self.family).filter(batch_id__in=batches)),
            *_pieces(_pieces_from(self.family).filter(batch_id__in=batches)),
        ]
        steps = {node: count for node, count in self.family.items() if node.kind == Kind.BATCH}
        for source, target in edges:
            steps[target] = min(self.family[source] + 1, steps.get(target, self.family[source] + 1))
        return steps


def ancestors(starts: Iterable[Node], kin: list[Edge]) -> dict[Node, int]:
    """Return all that the starts hold something of, by steps; two queries."""
    starts = tuple(starts)
    near = of_kind(walk(starts, kin, backward=True), Kind.BATCH)
    weighed = _weighed(Weighing.objects.filter(batch_id__in=near))
    pieces = _pieces(PartMove.objects.filter(batch_id__in=near))
    return walk(starts, [*kin, *weighed, *pieces], backward=True)


def kin_edges() -> list[Edge]:
    """Return every origin noted, and what went into batches that something in use came from; at most five queries."""
    origins = list(_origins())
    if not (sources := _with_offspring_in_use(origins)):
        return origins
    return [
        *origins,
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


def _with_offspring_in_use(origins: list[Edge]) -> set[int]:
    """Return the batches whose ends, or whatever came from them, went on into something; two queries."""
    of_batches = Origin.objects.filter(from_batch__isnull=False)
    lots = Weighing.objects.filter(lot_id__in=of_batches.filter(lot__isnull=False).values("lot_id"))
    parts = PartMove.objects.filter(lot_id__in=of_batches.filter(part_lot__isnull=False).values("part_lot_id"))
    in_use = {edge.source for edge in origins}
    in_use |= {lot(pk) for pk in lots.order_by().values_list("lot_id", flat=True).distinct()}
    in_use |= {part_lot(pk) for pk in parts.order_by().values_list("lot_id", flat=True).distinct()}
    return {edge.source.pk for edge in origins if edge.source.kind == Kind.BATCH and edge.target in in_use}


def _draws_from(nodes: Iterable[Node]) -> QuerySet[Weighing]:
    return Weighing.objects.filter(lot_id__in=of_kind(nodes, Kind.LOT)).order_by()


def _pieces_from(nodes: Iterable[Node]) -> QuerySet[PartMove]:
    return PartMove.objects.filter(lot_id__in=of_kind(nodes, Kind.PART_LOT))


def _weighed(rows: QuerySet[Weighing]) -> Iterable[Edge]:
    """A lot is in a batch when the scale said so; a weighing that was undone names no lot any more."""
    into = rows.filter(lot__isnull=False, actual_grams__gt=0).order_by().values_list("lot_id", "batch_id").distinct()
    return (Edge(lot(lot_id), batch(batch_id)) for lot_id, batch_id in into)


def _pieces(rows: QuerySet[PartMove]) -> Iterable[Edge]:
    return (Edge(part_lot(row["lot_id"]), batch(row["batch_id"])) for row in _net(rows).filter(net__lt=0))


def _net(rows: QuerySet[PartMove]) -> QuerySet:
    """Pieces taken less pieces given back, by lot and batch; what broke is on no bar."""
    rows = rows.filter(batch__isnull=False, is_broken=False)
    return rows.order_by().values("lot_id", "batch_id").annotate(net=Sum("pieces"))
