"""The order book line by line, as text."""

from collections.abc import Iterator
from datetime import date

from orders.models import OrderLine


def book_rows() -> Iterator[list[str]]:
    lines = OrderLine.objects.select_related("order__customer", "design").order_by("order__pk", "position", "pk")
    for line in lines.iterator(chunk_size=500):
        order = line.order
        yield [
            order.number,
            order.customer.name,
            order.customer.email,
            order.occasion,
            _day(order.event_date),
            _day(order.needed_by),
            order.get_status_display(),
            line.design.name,
            str(line.bars),
            "" if line.price_per_bar is None else f"{line.price_per_bar:.2f}",
            line.wording,
            line.packaging,
        ]


def _day(day: date | None) -> str:
    return day.isoformat() if day else ""
