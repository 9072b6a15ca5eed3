"""The days of the calendar feed: what is due, and what higher apps add, such as the days at the bench."""

from collections.abc import Callable, Iterable, Iterator
from datetime import date, timedelta

from orders.interchange.icalendar import CalendarDay
from orders.models import Order
from orders.money.reads import accounts_of, for_money
from orders.reads import OPEN

BEFORE, AFTER = timedelta(days=60), timedelta(days=400)
DaySource = Callable[[date, date], Iterable[CalendarDay]]
_sources: list[DaySource] = []


def add_day_source(source: DaySource) -> None:
    """Let a higher app add days to the feed; adding it twice has no effect."""
    if source not in _sources:
        _sources.append(source)


def feed_days(today: date) -> list[CalendarDay]:
    """Return the days from two months back to a year ahead, in order."""
    first, last = today - BEFORE, today + AFTER
    days = [*_order_days(first, last, today), *(day for source in _sources for day in source(first, last))]
    return sorted(days, key=lambda day: (day.on, day.key))


def _order_days(first: date, last: date, today: date) -> Iterator[CalendarDay]:
    orders = for_money(Order.objects.filter(status__in=OPEN, needed_by__range=(first, last + timedelta(days=90))))
    for row in accounts_of(orders, today=today):
        order, claim, now = row.order, row.account.claim, row.account.standing
        bars = sum(line.bars for line in order.lines.all())
        words = f"{bars} bars for {order.customer.name}"
        hand_over = order.needed_by - timedelta(days=order.travel_days)
        days = [
            CalendarDay(
                f"order-{order.number}-hand-over", hand_over, f"Hand over {order.number}: {words}", order.occasion
            )
        ]
        if order.event_date:
            days.append(
                CalendarDay(f"order-{order.number}-event", order.event_date, f"Event of {order.number}: {words}")
            )
        if now.deposit_open and claim.deposit_due_on:
            days.append(
                CalendarDay(f"order-{order.number}-deposit", claim.deposit_due_on, f"Deposit of {order.number} due")
            )
        if now.balance > 0 and claim.balance_due_on:
            days.append(
                CalendarDay(f"order-{order.number}-balance", claim.balance_due_on, f"Balance of {order.number} due")
            )
        yield from (day for day in days if first <= day.on <= last)
