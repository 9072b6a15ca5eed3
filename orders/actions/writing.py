"""What every verb of an order does on its way: lock it, judge whether it can still change, leave a trace."""

from datetime import date
from typing import Any

from orders.models import FIRST_YEAR, LAST_YEAR, Order, OrderEvent, OrderLine
from orders.order_states import CHANGEABLE
from soapshop.audit import note_event
from soapshop.models import User


class OrderRefusal(Exception):
    """An order cannot be written or moved this way; the message says why and the mend."""


def changeable_order(order_id: int, *, seen_saves: int | None = None) -> Order:
    """Lock an order that may still change. ``seen_saves`` is its count of changes when the page was opened."""
    order = Order.objects.select_for_update().get(pk=order_id)
    if order.state not in CHANGEABLE:
        raise OrderRefusal(f"{order} is {order.state.label.lower()}, so it can no longer be changed. Take a new order.")
    if seen_saves is not None and seen_saves != order.saves:
        raise OrderRefusal(
            f"{order} was changed after you opened this page. Your entries are still below: "
            "open the order in a second window, compare, then save yours again."
        )
    return order


def count_change(order: Order) -> None:
    order.saves += 1
    order.save(update_fields=["saves"])


def note_order(*, order: Order, by: User | None, verb: str, text: str, **kept: Any) -> None:
    """Leave an event a person can read on the order, and the same in the audit trail."""
    OrderEvent.objects.create(order=order, by=by, text=text[:400])
    note_event(by=by, verb=verb, subject=order, text=f"{order}: {text}", **kept)


def need_likely_day(day: date | None) -> None:
    """Refuse a day that can only be a slip, before a count back runs off the calendar."""
    if day is not None and not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise OrderRefusal(f"The year {day.year} cannot be right. Check the day.")


def label_of(row: Order | OrderLine, field: str) -> str:
    return str(row._meta.get_field(field).verbose_name)  # type: ignore[union-attr]


def said(figure: Any) -> str:
    """Return a figure as it stands in a sentence."""
    if figure in (None, ""):
        return "nothing"
    return f"{figure:%b} {figure.day}, {figure.year}" if isinstance(figure, date) else str(figure)
