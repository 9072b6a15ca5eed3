"""The workshop's own days: rows of the work calendar to the frozen records that rules count with."""

from datetime import date, timedelta

from production.plan.models import SpecialDay, TimeAway, WorkWeek
from production.planning.calendar import WorkDays
from production.planning.plan_records import BenchDay


def current_work_days(week: WorkWeek | None = None) -> WorkDays:
    """Return the days the workshop is open, as they are set now."""
    week = week or WorkWeek.current()
    special = list(SpecialDay.objects.all())
    return WorkDays(
        closed_weekdays=frozenset(day for day, minutes in enumerate(week.minutes_by_weekday) if not minutes),
        away=tuple((each.first_on, each.last_on) for each in TimeAway.objects.all()),
        closed_days=frozenset(each.day for each in special if not each.minutes),
        open_days=frozenset(each.day for each in special if each.minutes),
    )


def bench_days(week: WorkWeek, calendar: WorkDays, *, first: date, days: int) -> tuple[BenchDay, ...]:
    """Return the open days from the first on, each with its bench minutes."""
    special = dict(SpecialDay.objects.values_list("day", "minutes"))
    last = first + timedelta(days=days - 1)
    return tuple(
        BenchDay(day, special.get(day) or week.minutes_by_weekday[day.weekday()])
        for day in calendar.open_days_between(first, last)
    )
