"""What the order book asks of production: when an order is poured, and the days of the bench for the calendar."""

from collections.abc import Iterator
from datetime import date, timedelta

from orders.interchange.icalendar import CalendarDay
from orders.models import Order
from production.batches.models import Batch
from production.batches.proposal import GONE


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
