"""What the order book asks of production: when an order is poured, and the days of the bench for the calendar."""

from collections.abc import Iterator
from datetime import date, timedelta

from orders.interchange.icalendar import CalendarDay
from orders.models import Order
from production.batches.models import Batch, Weighing
from production.batches.proposal import GONE
from production.stock.models import Lot


def pour_day(order: Order) -> date | None:
    """Return the first pour day among the batches that serve an order: as poured, else as planned."""
    batches = Batch.objects.filter(serves__line__order=order).exclude(status__in=GONE)
    days = [poured or planned for poured, planned in batches.values_list("poured_on", "pour_on")]
    return min(days, default=None)


def batch_days(first: date, last: date) -> Iterator[CalendarDay]:
    """Yield the pour, the cut and the end of cure of every batch within these days."""
    batches = Batch.objects.exclude(status__in=GONE).select_related("design")
    for batch in batches.filter(pour_on__range=(first - timedelta(days=400), last)):
        poured = batch.poured_on or batch.pour_on
        steps = [("pour", poured, f"Pour {batch.number}, {batch.design.name}")]
        if batch.cut_on:
            steps.append(("cut", batch.cut_on, f"Cut {batch.number}, {batch.design.name}"))
        ready = poured + timedelta(days=batch.cure_days)
        steps.append(("cured", ready, f"Cure over: {batch.number}, {batch.design.name}"))
        yield from (
            CalendarDay(f"batch-{batch.number}-{key}", day, words) for key, day, words in steps if first <= day <= last
        )


def lots_since(order: Order) -> list[str]:
    """Return each material whose lot or supplier is no longer the one that went into the order's batches."""
    used: dict[int, Lot] = {}
    weighings = Weighing.objects.filter(batch__serves__line__order=order, lot__isnull=False, actual_grams__gt=0)
    for weighing in weighings.select_related("lot__material", "lot__supplier").order_by("batch__pour_on", "position"):
        if weighing.lot is not None:
            used[weighing.material_id] = weighing.lot
    next_lots: dict[int, Lot] = {}
    for lot in Lot.objects.drawable().filter(material_id__in=used).select_related("supplier"):
        next_lots.setdefault(lot.material_id, lot)
    found = []
    for material_id, then in used.items():
        now = next_lots.get(material_id)
        if now is None:
            found.append(f"{then.material.name}: none is on the shelf (then lot {then.code})")
        elif now.supplier_id != then.supplier_id:
            found.append(f"{then.material.name}: supplier {then.supplier or 'unknown'} → {now.supplier or 'unknown'}")
        elif now.pk != then.pk:
            found.append(f"{then.material.name}: lot {then.code} → {now.code}")
    return found
