"""Bars that are promised by month, beside what the workshop can make: to say no in time."""

from collections import Counter
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Sum

from formulas.models import Design
from orders.models import Order, OrderLine
from orders.order_states import OrderState
from production.batches.models import BatchFor
from production.batches.planned import GONE
from production.batches.schedule import route_of
from production.plan.models import HeldDate, WorkWeek
from production.plan.plan_designs import pack_tenths, plan_steps
from production.plan.work_days import bench_days, current_work_days
from production.planning.capacity import Capacity, Making, MonthRoom, days_in_month, month_capacity, next_month
from production.planning.plan_records import CUT, BenchDay, minutes_of
from soapshop.models import Workshop

# Orders that take room: a quote that nobody accepted takes none.
BOOKED = (OrderState.ACCEPTED.value, OrderState.IN_PRODUCTION.value, OrderState.READY.value)
MONTHS_SHOWN = 3


@dataclass(frozen=True)
class MonthBooking:
    """One month: bars wanted in hand in it, those poured already, bars asked for now, and what can still be made."""

    first: date
    booked_bars: int
    poured_bars: int
    asked_bars: int
    capacity: Capacity

    @property
    def left_bars(self) -> int:
        return self.capacity.bars - max(self.booked_bars - self.poured_bars, 0) - self.asked_bars

    @property
    def is_over(self) -> bool:
        return self.left_bars < 0


def bookings_for(order: Order, *, today: date) -> tuple[MonthBooking, ...]:
    """Return the month the order is needed in, with the one before and the one after; a fixed number of queries.

    A month's bars are made in the days that end one cure earlier, so its room is that of those days.
    """
    lines = list(order.lines.all())
    if not lines:
        return ()
    week, workshop = WorkWeek.current(), Workshop.current()
    making = _making(lines[0].design, workshop)
    asked = sum(line.bars for line in lines)
    months = _months(order.needed_by, today)
    booked = _booked(months[0], next_month(months[-1]), but=order.pk)
    poured = _poured(months[0], next_month(months[-1]), but=order.pk)
    first, _ = _making_days(months[0], making.cure_days, today)
    _, last = _making_days(months[-1], making.cure_days, today)
    bench = bench_days(week, current_work_days(week), first=first, days=(last - first).days + 1)
    return tuple(
        MonthBooking(
            month,
            booked[month],
            poured[month],
            asked if month == order.needed_by.replace(day=1) else 0,
            month_capacity(_room(month, making.cure_days, week, bench, today), making, rack_bars=week.rack_bars),
        )
        for month in months
    )


def _months(needed_by: date, today: date) -> list[date]:
    first = max((needed_by.replace(day=1) - timedelta(days=1)).replace(day=1), today.replace(day=1))
    months = [first]
    while len(months) < MONTHS_SHOWN:
        months.append(next_month(months[-1]))
    return months


def _booked(first: date, end: date, *, but: int) -> Counter[date]:
    found = Counter[date]()
    rows = OrderLine.objects.filter(order__status__in=BOOKED, order__needed_by__gte=first, order__needed_by__lt=end)
    by_day = rows.exclude(order_id=but).order_by().values_list("order__needed_by").annotate(bars=Sum("bars"))
    held = HeldDate.objects.filter(ready_on__gte=first, ready_on__lt=end, order__isnull=True)
    for day, bars in (*by_day, *held.values_list("ready_on", "bars")):
        found[day.replace(day=1)] += bars
    return found


def _poured(first: date, end: date, *, but: int) -> Counter[date]:
    """Bars of poured batches that belong to these orders: they need no room any more."""
    found = Counter[date]()
    served = BatchFor.objects.filter(
        batch__poured_on__isnull=False,
        line__order__status__in=BOOKED,
        line__order__needed_by__gte=first,
        line__order__needed_by__lt=end,
    )
    served = served.exclude(line__order_id=but).exclude(batch__status__in=GONE)
    for day, bars in served.values_list("line__order__needed_by", "bars"):
        found[day.replace(day=1)] += bars
    return found


def _making(design: Design, workshop: Workshop) -> Making:
    route = route_of(design)
    bars = max(design.mold.usable_bars * max(design.mold.owned, 1), 1)
    steps = plan_steps(route, workshop.cure_days)
    cut = next(step for step in steps if step.key == CUT)
    return Making(
        bars_a_pour=bars,
        minutes_a_pour=sum(minutes_of(step, bars) for step in steps),
        tenths_a_bar=pack_tenths(route),
        mold_days=max(cut.least_days, 1),
        cure_days=workshop.cure_days,
    )


def _making_days(month: date, cure_days: int, today: date) -> tuple[date, date]:
    """The first and the last day whose pours are cured in this month; days that have passed give nothing any more."""
    last = month + timedelta(days=days_in_month(month) - 1 - cure_days)
    return max(month - timedelta(days=cure_days), today), last


def _room(month: date, cure_days: int, week: WorkWeek, bench: tuple[BenchDay, ...], today: date) -> MonthRoom:
    first, last = _making_days(month, cure_days, today)
    days = [each for each in bench if first <= each.day <= last]
    return MonthRoom(month, len(days), sum(each.minutes for each in days), len(days) * week.pours_per_day)
