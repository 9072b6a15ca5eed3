"""Lay the steps of a route on real days, once the pour and the days after the cure are known."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from production.planning.calendar import WorkDays
from production.planning.route import MILESTONES, POUR, RELEASE, RouteStep


@dataclass(frozen=True)
class PlannedStep:
    """A step with the days it may happen on, both included, and the day proposed for it.

    `on_days` holds every day of a step that repeats; `on_day` is its first. `minutes` are bench minutes for the
    whole batch (per time, for a step that repeats).
    """

    key: str
    label: str
    first_day: date
    last_day: date
    on_day: date
    on_days: tuple[date, ...] = ()
    minutes: int = 0
    needs_person: bool = True
    is_for_part: bool = False
    has_passed: bool = False


@dataclass(frozen=True)
class Milestones:
    """The fixed days of a plan. Label and pack days are open days after the release and before the hand-over."""

    pour: date
    release: date
    label_days: tuple[date, ...]
    pack_days: tuple[date, ...]
    hand_over: date


@dataclass(frozen=True)
class Window:
    first: date
    last: date
    on: date | None


def step_windows(
    route: tuple[RouteStep, ...], pour_on: date, release_on: date, calendar: WorkDays, *, not_before: date | None = None
) -> dict[str, Window]:
    """Return each step's window; `on` is None when no day in it is open (or none on or after `not_before`).

    A step is placed on its first day that also leaves a day for the steps counted from it.
    """
    spans = _spans(route, pour_on, release_on)
    days: dict[str, date | None] = {POUR: pour_on, RELEASE: release_on}
    place = _Placer(route, spans, calendar, not_before)
    for root, root_day in ((POUR, pour_on), (RELEASE, release_on)):
        days |= place.after(root, root_day)
    return {key: Window(first, last, days.get(key)) for key, (first, last) in spans.items()}


def _spans(route: tuple[RouteStep, ...], pour_on: date, release_on: date) -> dict[str, tuple[date, date]]:
    """First and last day of each step that hangs on the pour or the release, from the windows alone."""
    spans = {POUR: (pour_on, pour_on), RELEASE: (release_on, release_on)}
    waiting = [step for step in route if step.key not in MILESTONES]
    while waiting:
        found = [step for step in waiting if step.anchor in spans]
        if not found:
            break
        for step in found:
            first, last = spans[step.anchor]
            end = release_on if step.most_days is None else last + timedelta(days=step.most_days)
            spans[step.key] = (first + timedelta(days=step.least_days), end)
        waiting = [step for step in waiting if step.key not in spans]
    return spans


class _Placer:
    """Puts steps on days, each with the steps counted from it; those are few, so every open day may be tried."""

    def __init__(
        self,
        route: tuple[RouteStep, ...],
        spans: dict[str, tuple[date, date]],
        calendar: WorkDays,
        not_before: date | None,
    ) -> None:
        self.spans, self.calendar, self.not_before = spans, calendar, not_before
        self.following: dict[str, list[RouteStep]] = {}
        for step in route:
            if step.key in spans and step.key not in MILESTONES:
                self.following.setdefault(step.anchor, []).append(step)

    def after(self, key: str, day: date) -> dict[str, date | None]:
        """The days of all steps counted from this one, when it is done on this day."""
        days: dict[str, date | None] = {}
        for step in self.following.get(key, ()):
            days |= self._placed(step, day)
        return days

    def _placed(self, step: RouteStep, anchor_day: date) -> dict[str, date | None]:
        best: dict[str, date | None] = {step.key: None}
        for day in self._open_days(step, anchor_day):
            days = {step.key: day, **self.after(step.key, day)}
            if all(days.get(each.key) is not None for each in self._bound_to(step.key)):
                return days
            best = best if best[step.key] else days
        return best

    def _bound_to(self, key: str) -> list[RouteStep]:
        own = [step for step in self.following.get(key, ()) if step.binds]
        return own + [further for step in own for further in self._bound_to(step.key)]

    def _open_days(self, step: RouteStep, anchor_day: date) -> Iterator[date]:
        first = anchor_day + timedelta(days=step.least_days)
        last = self.spans[step.key][1]
        if step.most_days is not None:
            last = min(last, anchor_day + timedelta(days=step.most_days))
        if self.not_before is not None:
            first = max(first, self.not_before)
        if step.needs_person:
            yield from self.calendar.open_days_between(first, last)
        elif first <= last:
            yield first


def steps_without_a_day(
    route: tuple[RouteStep, ...], pour_on: date, release_on: date, calendar: WorkDays
) -> tuple[RouteStep, ...]:
    """Return the binding steps after the pour that find no open day when the pour is on this day."""
    windows = step_windows(route, pour_on, release_on, calendar)
    return tuple(
        step
        for step in route
        if step.binds and step.key in windows and windows[step.key].on is None and windows[step.key].last >= pour_on
    )


def lay_out(
    route: tuple[RouteStep, ...],
    days: Milestones,
    calendar: WorkDays,
    *,
    today: date,
    bars: int,
    done: frozenset[str] = frozenset(),
) -> tuple[PlannedStep, ...]:
    """Return the steps still to do, in the order of their days."""
    windows = step_windows(route, days.pour, days.release, calendar)
    windows |= _fixed_windows(days)
    planned = []
    for step in route:
        if step.key in done:
            continue
        window = windows.get(step.key) or _near_the_end(step, windows[step.anchor], days.hand_over, calendar)
        windows[step.key] = window
        planned.append(_planned(step, window, calendar, today=today, bars=bars, release_on=days.release))
    order: Mapping[str, int] = {step.key: place for place, step in enumerate(route)}
    return tuple(sorted(planned, key=lambda step: (step.on_day, step.last_day, order[step.key])))


def _near_the_end(step: RouteStep, anchor: Window, hand_over: date, calendar: WorkDays) -> Window:
    """The window of a step counted from the label, pack or hand-over days."""
    first = anchor.first + timedelta(days=step.least_days)
    last = hand_over if step.most_days is None else anchor.last + timedelta(days=step.most_days)
    return Window(first, last, _day_within(first, last, calendar, step.needs_person))


def _day_within(earliest: date, latest: date, calendar: WorkDays, needs_person: bool) -> date | None:
    if latest < earliest:
        return None
    return next(calendar.open_days_between(earliest, latest), None) if needs_person else earliest


def _fixed_windows(days: Milestones) -> dict[str, Window]:
    fixed = {"hand_over": Window(days.hand_over, days.hand_over, days.hand_over)}
    for key, span in (("label", days.label_days), ("pack", days.pack_days)):
        span = span or (days.release,)
        fixed[key] = Window(span[0], span[-1], span[0])
    return fixed


def _planned(
    step: RouteStep, window: Window, calendar: WorkDays, *, today: date, bars: int, release_on: date
) -> PlannedStep:
    on_day = window.on or window.last
    if on_day < today <= window.last:
        on_day = _day_within(today, window.last, calendar, step.needs_person) or on_day
    return PlannedStep(
        key=step.key,
        label=step.label,
        first_day=window.first,
        last_day=window.last,
        on_day=on_day,
        on_days=_repeats(step, on_day, window.last, calendar),
        minutes=step.minutes_for(bars),
        needs_person=step.needs_person,
        is_for_part=step.is_for_part,
        has_passed=window.last < today,
    )


def _repeats(step: RouteStep, first: date, last: date, calendar: WorkDays) -> tuple[date, ...]:
    """Every planned day of a repeating step; a closed day moves to the next open one, the last day always counts."""
    if not step.every_days:
        return (first,)
    days, due = [], first
    while due <= last:
        days.append(calendar.next_open(due) if step.needs_person else due)
        due += timedelta(days=step.every_days)
    return tuple(dict.fromkeys([day for day in days if day <= last] + [last]))
