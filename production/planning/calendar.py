"""Which days the workshop works. Dates only, in the workshop's own time zone; nothing here reads a clock.

Cure counts calendar days, so it never asks this calendar; only steps that need a person do.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

# Longer than any closing a workshop plans; past it the calendar is mistyped rather than shut.
LONGEST_SEARCH_DAYS = 400
WEEKDAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


class CalendarError(ValueError):
    """The calendar cannot be used as it stands; the message is for people."""


@dataclass(frozen=True)
class WorkDays:
    """Days the workshop is open: weekdays it closes (0 = Monday), spans away, and single days opened or closed.

    `away` holds (first day, last day), both days included. `open_days` wins over everything else.
    """

    closed_weekdays: frozenset[int] = frozenset()
    away: tuple[tuple[date, date], ...] = ()
    closed_days: frozenset[date] = frozenset()
    open_days: frozenset[date] = frozenset()

    def __post_init__(self) -> None:
        object.__setattr__(self, "closed_weekdays", frozenset(self.closed_weekdays))
        if any(day not in range(7) for day in self.closed_weekdays):
            raise CalendarError("Weekdays run from 0 (Monday) to 6 (Sunday). Choose the closed weekdays again.")
        if len(self.closed_weekdays) == 7 and not self.open_days:
            raise CalendarError("The workshop is closed on all seven weekdays. Open at least one weekday.")
        for first, last in self.away:
            if last < first:
                raise CalendarError(
                    f"The time away ends on {last:%B} {last.day}, {last.year}, before it begins. Swap the two days."
                )

    def is_open(self, day: date) -> bool:
        if day in self.open_days:
            return True
        if day in self.closed_days or day.weekday() in self.closed_weekdays:
            return False
        return not any(first <= day <= last for first, last in self.away)

    def next_open(self, day: date) -> date:
        """Return the first open day on or after this day."""
        return self._search(day, timedelta(days=1))

    def previous_open(self, day: date) -> date:
        """Return the last open day on or before this day."""
        return self._search(day, timedelta(days=-1))

    def open_days_between(self, first: date, last: date) -> Iterator[date]:
        """Yield the open days from first to last, both included, earliest first."""
        day = first
        while day <= last:
            if self.is_open(day):
                yield day
            day += timedelta(days=1)

    def step_back(self, day: date, open_days: int) -> date:
        """Return the day that lies this many open days before the given day (0 = the last open day up to it)."""
        found = self.previous_open(day)
        for _ in range(open_days):
            found = self.previous_open(found - timedelta(days=1))
        return found

    def step_forward(self, day: date, open_days: int) -> date:
        """Return the day that lies this many open days after the given day (0 = the first open day from it)."""
        found = self.next_open(day)
        for _ in range(open_days):
            found = self.next_open(found + timedelta(days=1))
        return found

    def why_closed(self, day: date) -> str:
        """Return why nobody works on this day, or an empty text when the workshop is open."""
        if self.is_open(day):
            return ""
        if any(first <= day <= last for first, last in self.away):
            return "away"
        if day in self.closed_days:
            return "closed that day"
        return f"closed on {WEEKDAY_NAMES[day.weekday()]}s"

    def _search(self, day: date, step: timedelta) -> date:
        for _ in range(LONGEST_SEARCH_DAYS):
            if self.is_open(day):
                return day
            day += step
        raise CalendarError("No open day was found within a year. Check the days off and the time away.")
