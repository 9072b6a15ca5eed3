"""When an order is first poured: asked of whoever plans batches, above this app; else counted back from its day."""

from collections.abc import Callable
from datetime import date, timedelta

from orders.models import Order
from soapshop.models import Workshop

PourReader = Callable[[Order], date | None]
_readers: list[PourReader] = []


def add_pour_reader(reader: PourReader) -> None:
    """Let a higher app say on which day the first batch for an order is poured; adding it twice has no effect."""
    if reader not in _readers:
        _readers.append(reader)


def first_pour(order: Order, *, workshop: Workshop) -> date:
    """Return the planned or real pour day, else the last day on which the usual cure still fits."""
    days = [day for reader in _readers if (day := reader(order)) is not None]
    if days:
        return min(days)
    return order.needed_by - timedelta(days=order.travel_days + workshop.pack_days + workshop.cure_days)


def change_cut_off(order: Order, *, workshop: Workshop, cut_off_days: int) -> date:
    """Return the last day on which the customer may still change the order."""
    return first_pour(order, workshop=workshop) - timedelta(days=cut_off_days)
