"""One month of the work calendar, week by week, for the page."""

from calendar import Calendar
from dataclasses import dataclass
from datetime import date

from production.plan.models import SpecialDay, TimeAway, WorkWeek
from production.planning.calendar import WorkDays


@dataclass(frozen=True)
class MonthDay:
    day: date
    is_in_month: bool
    is_open: bool
    minutes: int
    why_closed: str


@dataclass(frozen=True)
class Month:
    first: date
    before: date
    after: date
    weeks: tuple[tuple[MonthDay, ...], ...]

    @property
    def minutes(self) -> int:
        return sum(day.minutes for week in self.weeks for day in week if day.is_in_month)

    @property
    def open_days(self) -> int:
        return sum(day.is_open for week in self.weeks for day in week if day.is_in_month)


def month_view(first: date, week: WorkWeek, calendar: WorkDays) -> Month:
    """Return the month that begins on this day, with the days of its weeks that lie outside it."""
    special = {each.day: each for each in SpecialDay.objects.all()}
    away = list(TimeAway.objects.all())

    def shown(day: date) -> MonthDay:
        is_open = calendar.is_open(day)
        own = special.get(day)
        minutes = (own.minutes if own else week.minutes_by_weekday[day.weekday()]) if is_open else 0
        span = next((each for each in away if each.first_on <= day <= each.last_on), None)
        why = "" if is_open else (span.reason if span and span.reason else calendar.why_closed(day))
        return MonthDay(day, day.month == first.month, is_open, minutes, why)

    weeks = Calendar().monthdatescalendar(first.year, first.month)
    year, month = first.year, first.month
    return Month(
        first=first,
        before=date(year - (month == 1), 12 if month == 1 else month - 1, 1),
        after=date(year + (month == 12), 1 if month == 12 else month + 1, 1),
        weeks=tuple(tuple(shown(day) for day in week_days) for week_days in weeks),
    )
