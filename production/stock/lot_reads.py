"""What the pages of single lots and the list of lots show."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import OuterRef, Q, QuerySet, Subquery, Sum, Window

from production.batch_states import BatchState
from production.batches.models import Batch, Weighing
from production.lot_states import MOVES, LotState
from production.stock.models import Lot, LotQuerySet, PartLot, PartMove, StockMove

SHAPES = {
    LotState.RECEIVED: "draft",
    LotState.QUARANTINE: "waiting",
    LotState.RELEASED: "ready",
    LotState.HELD: "hold",
    LotState.REJECTED: "struck",
    LotState.USED_UP: "away",
}
# Which lots a list shows; the words stand in the filter.
SHOWN: dict[str, str] = {
    "shelf": "On the shelf",
    "quarantine": "In quarantine",
    "held": "On hold or rejected",
    "out_of_date": "Out of date",
    "all": "All, used up too",
}
NEWEST_BATCHES = 50


@dataclass(frozen=True)
class LotRow:
    lot: Lot
    shape: str
    is_out_of_date: bool


@dataclass(frozen=True)
class BatchDraw:
    """What one batch took from the lot, less what it gave back."""

    number: str
    design: str
    status: str
    poured_on: date | None
    grams: Decimal

    @property
    def state_label(self) -> str:
        return BatchState(self.status).label


@dataclass(frozen=True)
class LotPage:
    lot: Lot
    shape: str
    is_out_of_date: bool
    batches: tuple[BatchDraw, ...]
    may_release: bool
    may_hold: bool
    may_reject: bool

    @property
    def price_per_kilogram(self) -> Decimal | None:
        """What a kilogram cost at the door, freight included."""
        if self.lot.price is None:
            return None
        return (self.lot.price + (self.lot.freight or 0)) * 1000 / self.lot.received_grams


@dataclass(frozen=True)
class PartMoveRow:
    move: PartMove
    pieces_left: int


def shown_lots(which: str, *, material_id: int | None, words: str, today: date) -> LotQuerySet:
    """Return the lots of one list, newest first; on the shelf by what must go first."""
    shown = ("code", "supplier_lot", "status", "received_on", "expires_on", "grams_left")
    lots = Lot.objects.select_related("material", "supplier").only(*shown, "material__name", "supplier__name")
    if which == "quarantine":
        lots = lots.filter(status=LotState.QUARANTINE.value)
    elif which == "held":
        lots = lots.filter(status__in=[LotState.HELD.value, LotState.REJECTED.value])
    elif which == "out_of_date":
        lots = lots.on_the_shelf().filter(expires_on__lt=today)
    elif which != "all":
        lots = lots.on_the_shelf()
    if material_id is not None:
        lots = lots.filter(material_id=material_id)
    if words:
        lots = lots.filter(
            Q(code__icontains=words) | Q(supplier_lot__icontains=words) | Q(material__name__icontains=words)
        )
    return lots.order_by("-received_on", "-pk") if which == "all" else lots.first_to_go()


def lot_rows(lots: Iterable[Lot], *, today: date) -> list[LotRow]:
    return [LotRow(lot, SHAPES[lot.state], lot.is_out_of_date(today)) for lot in lots]


def lot_page(lot: Lot, *, today: date) -> LotPage:
    after = MOVES[lot.state]
    return LotPage(
        lot=lot,
        shape=SHAPES[lot.state],
        is_out_of_date=lot.is_out_of_date(today),
        batches=_batches(lot),
        may_release=LotState.RELEASED in after,
        may_hold=LotState.HELD in after,
        may_reject=LotState.REJECTED in after,
    )


def _batches(lot: Lot) -> tuple[BatchDraw, ...]:
    rows: Any = (
        StockMove.objects.filter(lot=lot, batch__isnull=False)
        .order_by("-batch__pour_on", "-batch__number")
        .values_list("batch__number", "batch__design__name", "batch__status", "batch__poured_on")
        .annotate(grams=Sum("grams"))
    )
    return tuple(
        BatchDraw(number, design, status, poured_on, -grams)
        for number, design, status, poured_on, grams in rows[:NEWEST_BATCHES]
        if grams
    )


def waiting_for(lot: Lot) -> list[Batch]:
    """Return the batches in process whose next line to weigh is of this lot's material; one query."""
    later = Weighing.objects.filter(batch=OuterRef("pk"), actual_grams__isnull=True).order_by("position")
    waiting = Batch.objects.filter(status=BatchState.IN_PROCESS.value)
    of_it = waiting.annotate(next_material=Subquery(later.values("material_id")[:1])).filter(
        next_material=lot.material_id
    )
    return list(of_it.only("number").order_by("pour_on", "number"))


def moves_with_balance(lot: Lot) -> QuerySet[StockMove]:
    """Return the lot's moves, newest first, each with what was left after it (summed in whole milligrams)."""
    return (
        StockMove.objects.filter(lot=lot)
        .select_related("batch", "by")
        .annotate(balance=Window(Sum("grams"), order_by=["at", "pk"]))
        .order_by("-at", "-pk")
    )


def part_moves(lot: PartLot) -> list[PartMoveRow]:
    """Return a part lot's moves, newest first, each with the pieces left after it."""
    left, rows = 0, []
    for move in lot.moves.select_related("batch", "by").order_by("at", "pk"):
        left += move.pieces
        rows.append(PartMoveRow(move, left))
    return rows[::-1]
