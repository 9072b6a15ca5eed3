"""Cure days are calendar days, at month ends, on a leap day, over clock changes and at half past eleven at night."""

from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from production.batches.models import Batch
from production.cure.course import Course, course_in_words, course_svg, last_day
from production.cure.keeping import KeepingFacts, best_before
from production.cure.records import curing_batches, for_rack
from tests.production.cure_builders import make_cut, make_design, make_order


@pytest.mark.parametrize(
    ("poured_on", "today", "day", "to_go"),
    (
        # Counted on a calendar by hand.
        pytest.param(date(2028, 1, 18), date(2028, 2, 29), 42, 0, id="leap day"),
        pytest.param(date(2026, 1, 31), date(2026, 3, 14), 42, 0, id="short February"),
        pytest.param(date(2026, 2, 15), date(2026, 3, 29), 42, 0, id="clocks go forward (US March 8, EU March 29)"),
        pytest.param(date(2026, 9, 20), date(2026, 11, 1), 42, 0, id="clocks go back (US November 1)"),
        pytest.param(date(2026, 11, 30), date(2027, 1, 10), 41, 1, id="over New Year"),
    ),
)
def test_days_are_counted_on_the_calendar(owner, workshop, poured_on, today, day, to_go):
    batch = make_cut(
        make_order(make_design(owner), 5, needed_by=date(2029, 1, 1), by=owner), by=owner, poured_on=poured_on
    )
    curing = curing_batches(list(for_rack(Batch.objects.filter(pk=batch.pk))), today=today)[0]
    assert (curing.readiness.day_of_cure, curing.readiness.days_to_go) == (day, to_go)


@pytest.mark.parametrize(
    ("zone", "expected"),
    (
        ("America/Los_Angeles", date(2026, 3, 8)),
        ("Europe/Berlin", date(2026, 3, 9)),
        ("Pacific/Auckland", date(2026, 3, 9)),
    ),
)
def test_half_past_eleven_belongs_to_the_day_of_the_workshop(zone, expected):
    """06:30 UTC on March 9 is 23:30 on March 8 in Los Angeles, whose clocks went forward that day."""
    at = datetime(2026, 3, 9, 6, 30, tzinfo=UTC)
    with timezone.override(ZoneInfo(zone)):
        assert timezone.localdate(at) == expected


PLAIN = KeepingFacts(poured_on=date(2026, 3, 31), superfat_percent=Decimal(5))


@pytest.mark.parametrize(
    ("changes", "expected"),
    (
        # Months are common practice, no source; the days are counted by hand.
        pytest.param({}, date(2028, 3, 31), id="24 months"),
        pytest.param({"superfat_percent": Decimal("5.1")}, date(2027, 9, 30), id="18 months, September is shorter"),
        pytest.param({"superfat_percent": Decimal("8.1")}, date(2027, 3, 31), id="12 months"),
        pytest.param({"superfat_percent": Decimal(20)}, date(2026, 9, 30), id="6 months"),
        pytest.param({"superfat_percent": None}, date(2028, 3, 31), id="superfat not known"),
        pytest.param({"has_scent": True}, date(2027, 9, 30), id="scent"),
        pytest.param({"first_fat_on": date(2026, 2, 28)}, date(2027, 2, 28), id="an old fat"),
        pytest.param({"first_fat_on": date(2030, 1, 1)}, date(2028, 3, 31), id="a young fat changes nothing"),
        pytest.param({"poured_on": date(2028, 2, 29)}, date(2030, 2, 28), id="from a leap day"),
    ),
)
def test_the_shortest_habit_sets_the_best_before_day(changes, expected):
    assert best_before(replace(PLAIN, **changes)).best_before == expected


def test_the_course_of_a_cure_in_words_and_as_a_picture():
    course = Course(day=30, cure_days=42, ready_low=42, ready=44, ready_high=48, weighed=(1, 8), due_day=40)
    assert course_in_words(course) == (
        "Day 30, expected ready on day 44. Nine times in ten between day 42 and 48. Weighed on 2 days. "
        "First order needs the bars on day 40."
    )
    svg = course_svg(course, last=last_day((course,)))
    assert svg.count("<circle") == 2
    assert svg.count("danger-line") == 1
    assert course_svg(replace(course, due_day=60), last=55).count("danger-line") == 0
