"""What was typed, found in the books: our lot, a batch, the code on a bar, an order, a supplier's lot or a range."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field

from django.db.models import Q, QuerySet

from orders.models import Order
from production.batches.models import Batch
from production.cure.models import BarMove
from production.part_batches.models import PartBatch
from production.search.reads import tidy_words
from production.stock.models import Lot, PartLot, Supplier
from production.tracing.graph import Node, batch, lot, part_lot

# Past this a range names half the shelf, and a person wants to see it in parts.
MOST_LOTS = 500
RANGE = re.compile(r"^(\d{1,18})\s*(?:-|–|\.\.|to)\s*(\d{1,18})$", re.IGNORECASE)


class NotFound(Exception):
    """Nothing in the books has what was typed; the message says what can be typed."""


@dataclass(frozen=True)
class Subject:
    """What is traced. ``starts`` are the nodes to walk from; an order is known by the batches its bars come from."""

    kind: str
    code: str
    title: str
    starts: tuple[Node, ...]
    url: str = ""
    order_id: int | None = None
    notes: tuple[str, ...] = field(default=())


def find_subject(typed: str) -> Subject:
    """Return what was typed; our own codes come first, then suppliers' lots, lists and ranges of them, suppliers."""
    words = tidy_words(typed)
    if not words:
        raise NotFound("Type a lot, a batch, the code on a bar, an order or a supplier’s lot.")
    finders: tuple[Callable[[str], Subject | None], ...] = (
        _batch,
        _lot,
        _part_lot,
        _pot,
        _order,
        _supplier_lots,
        _range_of_supplier_lots,
        _supplier,
    )
    for find in finders:
        subject = find(words)
        if subject is not None:
            return subject
    raise NotFound(
        f"Nothing in the books is called “{words}”. Type a lot such as L26-001, a batch such as B26-001, "
        "an order number, or the supplier’s lot as it stands on the pack."
    )


def _batch(words: str) -> Subject | None:
    found = Batch.objects.filter(number=words.upper()).select_related("design").only("number", "design__name").first()
    if found is None:
        return None
    title = f"Batch {found.number}, {found.design.name}"
    return Subject("batch", found.number, title, (batch(found.pk),), found.get_absolute_url())


def _lot(words: str) -> Subject | None:
    found = Lot.objects.filter(code=words.upper()).select_related("material").only("code", "material__name").first()
    if found is None:
        return None
    title = f"Lot {found.code}, {found.material.name}"
    return Subject("lot", found.code, title, (lot(found.pk),), found.get_absolute_url())


def _part_lot(words: str) -> Subject | None:
    found = PartLot.objects.filter(code=words.upper()).select_related("part").first()
    if found is None:
        return None
    title = f"Lot {found.code}, {found.part.name}"
    return Subject("part_lot", found.code, title, (part_lot(found.pk),), found.get_absolute_url())


def _pot(words: str) -> Subject | None:
    """A batch of parts is known by the lot it gave; before that by the lots in it."""
    found = PartBatch.objects.filter(number=words.upper()).select_related("part", "lot").defer("frozen").first()
    if found is None:
        return None
    title = f"Batch of parts {found.number}, {found.part.name}"
    if found.lot is not None:
        return Subject("part_lot", found.number, title, (part_lot(found.lot.pk),), found.get_absolute_url())
    weighed = found.weighings.filter(lot__isnull=False).select_related("lot")
    codes = ", ".join(sorted({line.lot.code for line in weighed if line.lot is not None}))
    told = f"It gave no lot. In it is {codes}: trace those." if codes else "Nothing is weighed into it yet."
    return Subject("part_batch", found.number, title, (), found.get_absolute_url(), notes=(told,))


def _order(words: str) -> Subject | None:
    found = Order.objects.filter(number__iexact=words).select_related("customer").first()
    if found is None:
        return None
    given = BarMove.objects.filter(line__order=found).values("batch_id")
    planned = Batch.objects.filter(serves__line__order=found).values("pk")
    batches = Batch.objects.filter(Q(pk__in=given) | Q(pk__in=planned)).order_by("pk")
    starts = tuple(batch(pk) for pk in batches.values_list("pk", flat=True))
    title = f"Order {found.number}, {found.customer.name}"
    return Subject("order", found.number, title, starts, found.get_absolute_url(), order_id=found.pk)


def _supplier_lots(words: str) -> Subject | None:
    """One supplier's lot as written, or several with commas between."""
    wanted = [part.strip() for part in words.split(",") if part.strip()]
    lots = [row for part in wanted for row in _rows(Lot.objects.filter(supplier_lot__iexact=part))]
    if not lots:
        return None
    missing = [part for part in wanted if part.lower() not in {text.lower() for _, _, text in lots}]
    notes = (f"No lot here came as {', '.join(missing)}.",) if missing else ()
    return _of_lots("supplier_lot", words, f"Supplier’s lot {', '.join(wanted)}", lots, notes)


def _range_of_supplier_lots(words: str) -> Subject | None:
    """Every supplier's lot that is a whole number from … to …, as a recall notice names them."""
    found = RANGE.match(words)
    if found is None:
        return None
    low, high = int(found[1]), int(found[2])
    rows = _rows(Lot.objects.filter(supplier_lot__regex=r"^[0-9]{1,18}$"))
    lots = [row for row in rows if low <= int(row[2]) <= high]
    return _of_lots("supplier_lot", words, f"Suppliers’ lots {low} to {high}", lots) if lots else None


def _supplier(words: str) -> Subject | None:
    found = Supplier.objects.filter(name__iexact=words).first()
    if found is None:
        return None
    lots = _rows(Lot.objects.filter(supplier=found))
    return _of_lots("supplier", found.name, f"Everything from {found.name}", lots, url=found.get_absolute_url())


def _rows(lots: QuerySet[Lot]) -> list[tuple[int, str, str]]:
    return list(lots.order_by("pk").values_list("pk", "code", "supplier_lot"))


def _of_lots(
    kind: str, code: str, title: str, lots: list[tuple[int, str, str]], notes: tuple[str, ...] = (), url: str = ""
) -> Subject:
    if len(lots) > MOST_LOTS:
        raise NotFound(f"{len(lots):,} lots fit “{code}”, more than one trace holds. Name a narrower range.")
    codes = ", ".join(own for _, own, _ in lots[:6]) + (f" and {len(lots) - 6} more" if len(lots) > 6 else "")
    told = f"Received here as {codes}." if lots else "No lot from there is in the book."
    return Subject(kind, code, title, tuple(lot(pk) for pk, _, _ in lots), url, notes=(told, *notes))
