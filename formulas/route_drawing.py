"""The way a design is made as a picture: each step a bar on a ruler of days from the pour."""

from collections.abc import Sequence

from formulas.drawing.chart import ACCENT, EDGE, Scale, line, small_words, tick_text
from formulas.drawing.markup import Picture, element, picture, shortened, words
from formulas.routes import StepWindow

WIDTH, NAMES, ROW, TOP, FOOT = 720.0, 220.0, 26.0, 30.0, 8.0
LONGEST_NAME = 27


def route_svg(windows: Sequence[StepWindow]) -> Picture:
    """Return the steps whose days are known, in their order; hollow bars are steps for bars with parts only."""
    placed = [window for window in windows if window.first_day is not None]
    days = [day for window in placed for day in (window.first_day, window.last_day) if day is not None]
    scale = Scale(float(min([*days, 0]) - 1), float(max([*days, 1]) + 2), NAMES, WIDTH - 12)
    foot = TOP + len(placed) * ROW
    pour = scale.at(0)
    return picture(
        *_ruler(scale, foot),
        line(pour, TOP - 6, pour, foot, kind="ink"),
        *(mark for place, window in enumerate(placed) for mark in _row(window, scale, TOP + place * ROW)),
        width=WIDTH,
        height=foot + FOOT,
        title="The way it is made, in days from the pour",
        description=" ".join(f"{window.step.label}: {days_in_words(window)}." for window in windows),
    )


def days_in_words(window: StepWindow) -> str:
    """Return when a step falls, for people: "7 to 1 days before the pour", "day 1 to 2", "after the release"."""
    first, last = window.first_day, window.last_day
    if window.is_after_release or first is None:
        return "after the release"
    if last is not None and last < 0:
        return f"{_day_count(-first)} before the pour" if first == last else f"{-first} to {-last} days before the pour"
    if first == 0 and last in (0, None):
        return "on the day of the pour"
    again = f", every {_day_count(window.step.every_days)}" if window.step.every_days else ""
    return (f"day {first}" if last in (first, None) else f"day {first} to {last}").replace("-", "−") + again


def _day_count(days: int) -> str:
    return "1 day" if days == 1 else f"{days} days"


def _ruler(scale: Scale, foot: float) -> tuple[Picture, ...]:
    marks: list[Picture] = []
    for tick in scale.ticks(9):
        x = scale.at(tick)
        name = "pour" if tick == 0 else tick_text(tick)
        marks += [
            line(x, TOP - 4, x, foot, kind="rule"),
            small_words(name, x, TOP - 12, text_anchor="middle"),
        ]
    return tuple(marks)


def _row(window: StepWindow, scale: Scale, top: float) -> tuple[Picture, ...]:
    first = scale.at(window.first_day or 0)
    last = scale.at((window.first_day or 0) if window.last_day is None else window.last_day)
    label = words(shortened(window.step.label, LONGEST_NAME), NAMES - 12, top + 18, text_anchor="end")
    if window.step.every_days and window.last_day is not None:
        days = range(window.first_day or 0, window.last_day + 1, window.step.every_days)
        dots = (
            element("circle", cx=scale.at(day), cy=top + 13, r=4, fill=ACCENT, class_="accent-fill") for day in days
        )
        return (label, line(first, top + 13, last, top + 13, kind="soft"), *dots)
    is_hollow = window.step.is_for_part
    bar = element(
        "rect",
        x=first - 4,
        y=top + 7,
        width=last - first + 8,
        height=12,
        rx=3,
        fill="none" if is_hollow else ACCENT,
        stroke=ACCENT if is_hollow else EDGE,
        stroke_width=2 if is_hollow else 0,
        class_="accent-line" if is_hollow else "accent-fill",
    )
    return (label, bar)
