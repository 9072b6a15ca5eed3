"""When a made-ahead part may be used: its use-by, the days it must rest first, and the window after the cut."""

from datetime import date, timedelta

# Soap dough: 3 months wrapped, a day in open air, 6 months at most (common practice, no source).
WRAPPED_DAYS, OPEN_DAYS, MOST_DAYS = 90, 1, 180
LOOK_AGAIN_DAYS = 30  # look at what is kept every month (common practice, no source)


class PartWindowError(ValueError):
    """A part is too young, too old, or its bars are. The message tells the mend."""


def usual_use_by(made_on: date, *, is_wrapped: bool) -> date:
    """Return the day a part is to be used by when nothing else was written on it."""
    return made_on + timedelta(days=WRAPPED_DAYS if is_wrapped else OPEN_DAYS)


def next_look(last: date) -> date:
    return last + timedelta(days=LOOK_AGAIN_DAYS)


def check_use_by(use_by: date, *, made_on: date) -> None:
    """Refuse a use-by before the making, or later than any part keeps."""
    if use_by < made_on:
        raise PartWindowError("The use-by lies before the day the part was made. Correct one of the two days.")
    if use_by > made_on + timedelta(days=MOST_DAYS):
        raise PartWindowError(f"No part keeps longer than {MOST_DAYS} days. Give an earlier use-by.")


def check_part_age(
    name: str, *, made_on: date, used_on: date, use_by: date, least_days: int = 0, most_days: int | None = None
) -> None:
    """Refuse a part on a day it must still rest, or no longer holds."""
    age_days = (used_on - made_on).days
    if age_days < least_days:
        ready_on = made_on + timedelta(days=least_days)
        raise PartWindowError(f"{name} has to rest {least_days} days and is ready on {_day(ready_on)}. Use it then.")
    last = use_by if most_days is None else min(use_by, made_on + timedelta(days=most_days))
    if used_on > last:
        raise PartWindowError(f"{name} was to be used by {_day(last)}. Make fresh pieces.")


def last_attach_day(cut_on: date, window_days: int) -> date:
    return cut_on + timedelta(days=window_days)


def attach_window(window_days: int, *, cut_on: date | None) -> str:
    """Say until when a part may join the bars: by the day, or before the cut by the days after it."""
    if cut_on is None:
        return f"goes on within {window_days} day{'s' * (window_days != 1)} of the cut"
    return f"goes on by {_day(last_attach_day(cut_on, window_days))}"


def attach_words(name: str, *, cut_on: date, window_days: int | None, today: date) -> str:
    """Say until when a part may join cut bars, or that its days are over; nothing where there is no hurry."""
    if window_days is None:
        return ""
    last = last_attach_day(cut_on, window_days)
    if today > last:
        return f"{name} had to go on by {_day(last)}; it no longer holds on these bars."
    return f"{name} {attach_window(window_days, cut_on=cut_on)}, while both faces are fresh."


def check_attach_day(name: str, *, cut_on: date, attach_on: date, window_days: int | None) -> None:
    """Refuse to attach before the cut, or after both faces have dried; no window means any day after the cut."""
    if attach_on < cut_on:
        raise PartWindowError(f"{name} goes on after the cut on {_day(cut_on)}. Choose that day or a later one.")
    if window_days is not None and attach_on > last_attach_day(cut_on, window_days):
        raise PartWindowError(
            f"{name} had to go on by {_day(last_attach_day(cut_on, window_days))}, while both faces were fresh. "
            "Attach it with melted soap or thick batter on a cured bar, or leave it off."
        )


def _day(day: date) -> str:
    return f"{day:%b} {day.day}, {day.year}"
