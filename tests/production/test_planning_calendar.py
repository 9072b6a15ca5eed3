"""Open and closed days; weekdays and month lengths are the civil calendar's, checked against a printed one."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from production.planning.calendar import CalendarError, WorkDays

WEEKEND = frozenset({5, 6})


def day(text):
    return date.fromisoformat(text)


@pytest.mark.parametrize(
    ("asked", "following", "previous"),
    (
        pytest.param("2026-06-05", "2026-06-05", "2026-06-05", id="Friday, open"),
        pytest.param("2026-06-06", "2026-06-08", "2026-06-05", id="Saturday"),
        pytest.param("2026-02-28", "2026-03-02", "2026-02-27", id="Saturday at the end of February"),
        pytest.param("2028-02-26", "2028-02-28", "2028-02-25", id="Saturday before a leap day"),
        pytest.param("2028-02-29", "2028-02-29", "2028-02-29", id="leap day, a Tuesday"),
        pytest.param("2026-12-25", "2027-01-04", "2026-12-23", id="closed over the turn of the year"),
    ),
)
def test_nearest_open_day(asked, following, previous):
    calendar = WorkDays(WEEKEND, away=((day("2026-12-24"), day("2027-01-01")),))
    assert calendar.next_open(day(asked)) == day(following)
    assert calendar.previous_open(day(asked)) == day(previous)


def test_an_open_day_wins_over_everything():
    saturday = day("2026-06-06")
    assert not WorkDays(WEEKEND).is_open(saturday)
    assert WorkDays(WEEKEND, away=((saturday, saturday),), open_days=frozenset({saturday})).is_open(saturday)


def test_steps_count_open_days():
    calendar = WorkDays(WEEKEND)
    assert calendar.step_back(day("2026-06-08"), 2) == day("2026-06-04")
    assert calendar.step_forward(day("2026-06-04"), 2) == day("2026-06-08")
    assert calendar.step_forward(day("2026-06-06"), 0) == day("2026-06-08")


@pytest.mark.parametrize(
    ("asked", "why"),
    (
        ("2026-06-06", "closed on Saturdays"),
        ("2026-06-09", "away"),
        ("2026-06-11", "closed that day"),
        ("2026-06-12", ""),
    ),
)
def test_why_nobody_works(asked, why):
    calendar = WorkDays(
        WEEKEND, away=((day("2026-06-09"), day("2026-06-10")),), closed_days=frozenset({day("2026-06-11")})
    )
    assert calendar.why_closed(day(asked)) == why


def test_mistyped_calendars_are_refused():
    with pytest.raises(CalendarError, match="ends on June 1, 2026, before it begins"):
        WorkDays(away=((day("2026-06-02"), day("2026-06-01")),))
    with pytest.raises(CalendarError, match="closed on all seven weekdays"):
        WorkDays(frozenset(range(7)))
    with pytest.raises(CalendarError, match="from 0"):
        WorkDays(frozenset({7}))
    with pytest.raises(CalendarError, match="No open day was found within a year"):
        WorkDays(away=((day("2026-01-01"), day("2028-01-01")),)).next_open(day("2026-01-01"))


@pytest.mark.parametrize(
    ("zone", "moment", "local_day"),
    (
        pytest.param("Pacific/Auckland", "2026-04-04T11:30:00", "2026-04-05", id="23:30 before clocks go back"),
        pytest.param("America/Los_Angeles", "2026-03-08T07:30:00", "2026-03-07", id="23:30 before clocks go forward"),
        pytest.param("Europe/Berlin", "2026-10-25T22:30:00", "2026-10-25", id="23:30 on the day clocks went back"),
    ),
)
def test_a_late_evening_belongs_to_its_own_local_day(zone, moment, local_day):
    """The caller hands in the workshop's day; the offsets are those of the tz database, worked by hand."""
    local = datetime.fromisoformat(moment).replace(tzinfo=UTC).astimezone(ZoneInfo(zone))
    assert (local.hour, local.minute) in {(23, 30), (0, 30)}
    assert local.date() == day(local_day)
