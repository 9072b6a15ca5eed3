"""Fill the benchmark's own shop: copies of what the demo played, put in by the hundred past all actions.

Only here rows are written without the shop's actions: the rows are never worked with, only counted and shown.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from decimal import Decimal
from itertools import cycle, islice
from typing import Any, TypeVar

from django.db import models, transaction
from django.db.models import Count

from orders.models import LineFinish, Order, OrderEvent, OrderLine
from production.batch_states import ON_THE_RACK
from production.batches.models import Batch, BatchFor, Deviation, PortionFill, StepRecord, Weighing
from production.cure.models import BarMove, Check, CureWeighing, Release
from production.lot_states import LotState
from production.stock.models import Lot, StockMove

Row = TypeVar("Row", bound=models.Model)
ROWS_AT_ONCE = 500
# Days over which copied orders are spread, so that not all are wanted on one day.
SPREAD_DAYS = 120
# Of so many copied lots one still holds something: a shelf's book is mostly of empty tubs.
ONE_LOT_LEFT_IN = 4


@dataclass
class Copies:
    """For each row that was copied, its copies; asked for one, they are handed out in turn."""

    by_original: dict[int, list[int]] = field(default_factory=dict)
    _turns: dict[int, Iterator[int]] = field(default_factory=dict)

    def add(self, original: int, copy: int) -> None:
        self.by_original.setdefault(original, []).append(copy)

    def next_for(self, original: int | None) -> int | None:
        """Return a copy's number, or the original's where it has no copy."""
        if original is None or original not in self.by_original:
            return original
        if original not in self._turns:
            self._turns[original] = cycle(self.by_original[original])
        return next(self._turns[original])


@transaction.atomic
def fill_shop(*, orders: int, batches: int, lots: int) -> None:
    """Put so many more rows into a shop that has the demo's."""
    lot_copies = _fill_lots(lots)
    line_copies = _fill_orders(orders)
    _fill_rack(batches, line_copies, lot_copies)


def _fill_lots(count: int) -> Copies:
    def changes(number: int, lot: Lot) -> dict[str, Any]:
        code = {"code": f"L00-{number:05d}"}
        return code if number % ONE_LOT_LEFT_IN == 0 else code | {"grams_left": 0, "status": LotState.USED_UP.value}

    made = _copied(Lot.objects.order_by("pk"), count, changes)
    _copy_children(StockMove.objects.exclude(kind=StockMove.Kind.COUNT), "lot_id", made, {"batch_id": _nothing})
    emptied = [(lot, original) for lot, original in made if lot.status == LotState.USED_UP.value]
    left: dict[int, Decimal] = dict(Lot.objects.values_list("pk", "grams_left"))
    gone = [
        StockMove(lot=lot, kind=StockMove.Kind.WASTE, grams=-left[original], note="Used up")
        for lot, original in emptied
        if left[original]
    ]
    StockMove.objects.bulk_create(gone, batch_size=ROWS_AT_ONCE)
    return _numbers(made)


def _fill_orders(count: int) -> Copies:
    def changes(number: int, order: Order) -> dict[str, Any]:
        return {
            "number": str(90000 + number),
            "needed_by": order.needed_by + timedelta(days=number % SPREAD_DAYS),
        }

    made = _copied(Order.objects.order_by("pk"), count, changes)
    _copy_children(OrderEvent.objects.all(), "order_id", made)
    lines = _copy_children(OrderLine.objects.all(), "order_id", made)
    _copy_children(LineFinish.objects.all(), "line_id", lines)
    return _numbers(lines)


def _fill_rack(count: int, lines: Copies, lots: Copies) -> None:
    def changes(number: int, batch: Batch) -> dict[str, Any]:
        return {"number": f"B00-{number:05d}"}

    states = [state.value for state in ON_THE_RACK]
    made = _copied(Batch.objects.filter(status__in=states).order_by("pk"), count, changes)
    for child in (PortionFill, StepRecord, Deviation, CureWeighing, Check):
        _copy_children(child._default_manager.all(), "batch_id", made, {"weighing_id": _nothing})
    _copy_children(Weighing.objects.all(), "batch_id", made, {"lot_id": _one_lot_in_all(lots)})
    _copy_children(BatchFor.objects.all(), "batch_id", made, {"line_id": lines.next_for})
    decisions = _numbers(_copy_children(Release.objects.all(), "batch_id", made))
    links = {"line_id": lines.next_for, "decision_id": decisions.next_for, "parcel_id": _nothing}
    _copy_children(BarMove.objects.all(), "batch_id", made, links)


def _one_lot_in_all(lots: Copies) -> "Mend":
    """Take the most used material from one lot always, so that one lot is in nearly every batch; others in turn."""
    used = Weighing.objects.filter(lot__isnull=False).values("lot__material_id").annotate(size=Count("batch"))
    most = used.order_by("-size", "lot__material_id")[0]["lot__material_id"]
    same = list(Lot.objects.filter(material_id=most).order_by("pk").values_list("pk", flat=True))
    return lambda original: same[0] if original in same else lots.next_for(original)


Made = list[tuple[Row, int]]
Mend = Callable[[int | None], int | None]


def _copied(originals: models.QuerySet[Row], count: int, changes: Callable[[int, Row], dict[str, Any]]) -> Made[Row]:
    """Make `count` copies of these rows in turn; return each copy with its original's number."""
    rows = list(islice(cycle(originals), count))
    copies = [_copy(row, changes(number, row)) for number, row in enumerate(rows, start=1)]
    return _written(copies, [row.pk for row in rows])


def _copy_children(
    children: models.QuerySet[Row], link: str, parents: Iterable[tuple[Any, int]], mends: dict[str, Mend] | None = None
) -> Made[Row]:
    """Give each copied parent copies of its original's children; `mends` says where their other links lead."""
    by_parent: dict[int, list[Row]] = {}
    for child in children.order_by("pk"):
        by_parent.setdefault(getattr(child, link), []).append(child)
    copies, originals = [], []
    for parent, original in parents:
        for child in by_parent.get(original, ()):
            names = [name for name in (mends or {}) if hasattr(child, name)]
            mended = {name: (mends or {})[name](getattr(child, name)) for name in names}
            copies.append(_copy(child, {link: parent.pk, **mended}))
            originals.append(child.pk)
    return _written(copies, originals)


def _copy(row: Row, changes: dict[str, Any]) -> Row:
    fields = [field for field in row._meta.concrete_fields if not field.primary_key]
    # What must not stand twice and may be empty is left empty, such as the number of the form a row came from.
    kept = {field.attname: None if field.unique and field.null else getattr(row, field.attname) for field in fields}
    return type(row)(**kept | changes)


def _written(copies: Sequence[Row], originals: Sequence[int]) -> Made[Row]:
    if not copies:
        return []
    type(copies[0])._default_manager.bulk_create(copies, batch_size=ROWS_AT_ONCE)
    return list(zip(copies, originals, strict=True))


def _numbers(made: Iterable[tuple[Any, int]]) -> Copies:
    copies = Copies()
    for copy, original in made:
        copies.add(original, copy.pk)
    return copies


def _nothing(_: int | None) -> None:
    return None
