"""The fixed days of one line: backward from the day it is needed, forward from a pour, and the pours that serve."""

from datetime import date, timedelta

from production.planning.answer import CountbackError, CountbackInput, PartLead
from production.planning.calendar import LONGEST_SEARCH_DAYS
from production.planning.layout import Milestones, step_windows, steps_without_a_day
from production.planning.route import LABEL, PACK, POUR, RouteStep

ONE_DAY = timedelta(days=1)


def milestones_back(asked: CountbackInput) -> tuple[date, tuple[date, ...], tuple[date, ...], date]:
    """Return release day, label days, pack days and hand-over day, each as late as the needed-by day allows."""
    calendar = asked.calendar
    hand_over = calendar.previous_open(asked.needed_by - timedelta(days=asked.handover_days))
    pack_days = _open_days_before(asked, hand_over, _days_left(asked, PACK, asked.pack_days))
    label_days = _open_days_before(
        asked, pack_days[0] if pack_days else hand_over, _days_left(asked, LABEL, asked.label_days)
    )
    first_work = (label_days or pack_days or (None,))[0]
    release = calendar.previous_open(hand_over if first_work is None else first_work - ONE_DAY)
    return release, label_days, pack_days, hand_over


def _days_left(asked: CountbackInput, step: str, days: int) -> int:
    """Labels and packing that are done take no further days."""
    return 0 if step in asked.done else days


def _open_days_before(asked: CountbackInput, day: date, count: int) -> tuple[date, ...]:
    return tuple(asked.calendar.step_back(day - ONE_DAY, back) for back in reversed(range(count)))


def milestones_on(asked: CountbackInput, release: date) -> tuple[tuple[date, ...], tuple[date, ...], date]:
    """Return label days, pack days and hand-over day, each as early as a release on this day allows."""
    calendar, last = asked.calendar, release
    spans = []
    for count in (_days_left(asked, LABEL, asked.label_days), _days_left(asked, PACK, asked.pack_days)):
        days = tuple(calendar.step_forward(last + ONE_DAY, ahead) for ahead in range(count))
        spans.append(days)
        last = days[-1] if days else last
    has_work = bool(spans[0] or spans[1])
    return spans[0], spans[1], calendar.next_open(last + ONE_DAY if has_work else last)


def plan_back(asked: CountbackInput, pour_on: date) -> Milestones:
    return Milestones(pour_on, *milestones_back(asked))


def plan_forward(asked: CountbackInput, pour_on: date, cure_days: int) -> Milestones:
    release = asked.calendar.next_open(max(pour_on + timedelta(days=cure_days), asked.today))
    return Milestones(pour_on, release, *milestones_on(asked, release))


def last_pour(asked: CountbackInput, release: date, cure_days: int) -> date:
    """Return the last day a pour still cures this long by the release, with every binding step on an open day."""
    day = release - timedelta(days=cure_days)
    for _ in range(LONGEST_SEARCH_DAYS):
        if is_pour_day(asked, day, cure_days):
            return day
        day -= ONE_DAY
    raise CountbackError(_no_day(asked, release - timedelta(days=cure_days), cure_days))


def first_pour(asked: CountbackInput, cure_days: int, *, with_parts: bool = True) -> date:
    """Return the first day from today on which everything that must come before the pour can be done."""
    day = max([asked.today] + [_ready_on(asked, lead) for lead in asked.parts if with_parts or not lead.is_for_part])
    for _ in range(LONGEST_SEARCH_DAYS):
        if is_pour_day(asked, day, cure_days) and _has_time_before(asked, day, cure_days, with_parts=with_parts):
            return day
        day += ONE_DAY
    raise CountbackError(_no_day(asked, asked.today, cure_days))


def _ready_on(asked: CountbackInput, lead: PartLead) -> date:
    return lead.ready_on or asked.today + timedelta(days=lead.lead_days)


def is_pour_day(asked: CountbackInput, day: date, cure_days: int) -> bool:
    release = day + timedelta(days=cure_days)
    return asked.calendar.is_open(day) and not steps_without_a_day(asked.route, day, release, asked.calendar)


def _has_time_before(asked: CountbackInput, day: date, cure_days: int, *, with_parts: bool) -> bool:
    windows = step_windows(asked.route, day, day + timedelta(days=cure_days), asked.calendar, not_before=asked.today)
    return all(
        windows[step.key].on is not None
        for step in asked.route
        if _must_come_first(asked, step, with_parts) and step.key in windows and windows[step.key].first < day
    )


def _must_come_first(asked: CountbackInput, step: RouteStep, with_parts: bool) -> bool:
    return step.binds and step.key != POUR and step.key not in asked.done and (with_parts or not step.is_for_part)


def _no_day(asked: CountbackInput, day: date, cure_days: int) -> str:
    missing = steps_without_a_day(asked.route, day, day + timedelta(days=cure_days), asked.calendar)
    what = f"“{missing[0].label}”" if missing else "the pour"
    return f"No open day was found for {what} within a year. Check the days off, or widen the step's days."
