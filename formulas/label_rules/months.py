"""Count calendar months."""

import calendar
from datetime import date


def add_months(day: date, months: int) -> date:
    """Return the same day so many months on, or the last day of a month that is shorter."""
    year, month0 = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month0 + 1, min(day.day, calendar.monthrange(year, month0 + 1)[1]))


def last_whole_month(end: date) -> date:
    """Return the last day of the last month that is over by the given day."""
    if end.day == calendar.monthrange(end.year, end.month)[1]:
        return end
    before = add_months(end.replace(day=1), -1)
    return before.replace(day=calendar.monthrange(before.year, before.month)[1])
