"""The course of one cure as a small line: pour to ready, weighings, today, and the day an order needs the bars.

All lines of one rack share a scale, so that they can be compared from row to row.
"""

from dataclasses import dataclass
from functools import lru_cache

from formulas.drawing.chart import ACCENT, RULE, Scale, line
from formulas.drawing.inks import INK
from formulas.drawing.markup import Picture, element, picture

WIDTH, HEIGHT, MIDDLE, EDGE = 220.0, 26.0, 13.0, 6.0
# Drawings kept in memory: more than lie on the rack of any small workshop.
MOST_DRAWN = 1000


@dataclass(frozen=True)
class Course:
    """Days of cure, counted from the pour. `due_day` is the day the first order needs the bars, None without one."""

    day: int
    cure_days: int
    ready_low: int
    ready: int
    ready_high: int
    weighed: tuple[int, ...] = ()
    due_day: int | None = None


def last_day(courses: tuple[Course, ...]) -> int:
    """Return the last day the lines must reach to show what matters of each."""
    ends = [max(course.cure_days, course.ready_high, min(course.day, 2 * course.cure_days)) for course in courses]
    return max([42, *ends]) + 7


@lru_cache(maxsize=MOST_DRAWN)
def course_svg(course: Course, *, last: int) -> Picture:
    days = Scale(0, last, EDGE, WIDTH - EDGE)

    def at(day: int) -> float:
        return days.at(min(max(day, 0), last))

    today = at(course.day)
    return picture(
        line(at(0), MIDDLE, at(course.ready), MIDDLE, kind="rule"),
        _block(at(course.ready_low), at(course.ready_high)),
        element(
            "path",
            d=f"M{at(0):.2f} {MIDDLE}L{at(min(course.day, course.ready)):.2f} {MIDDLE}",
            fill="none",
            stroke=ACCENT,
            stroke_width=4,
            class_="accent-line",
        ),
        *(element("circle", cx=at(day), cy=MIDDLE, r=2.4, fill=INK, class_="ink-fill") for day in course.weighed),
        line(at(course.ready), MIDDLE - 6, at(course.ready), MIDDLE + 6, kind="ink"),
        *_due(course, at(course.due_day) if course.due_day is not None else None),
        element("path", d=_pointer(today), fill=INK, class_="ink-fill"),
        width=WIDTH,
        height=HEIGHT,
        title="Course of the cure",
        description=course_in_words(course),
    )


def course_in_words(course: Course) -> str:
    words = [f"Day {course.day}, expected ready on day {course.ready}."]
    if course.ready_low != course.ready_high:
        words.append(f"Nine times in ten between day {course.ready_low} and {course.ready_high}.")
    words.append(f"Weighed on {len(course.weighed)} {'day' if len(course.weighed) == 1 else 'days'}.")
    if course.due_day is not None:
        words.append(f"First order needs the bars on day {course.due_day}.")
    return " ".join(words)


def _block(start: float, end: float) -> Picture:
    return element(
        "rect",
        x=start,
        y=MIDDLE - 4,
        width=max(end - start, 0.5),
        height=8,
        fill=RULE,
        class_="sunk-fill",
    )


def _due(course: Course, x: float | None) -> tuple[Picture, ...]:
    """A short dashed line where the first order needs the bars; in the color of danger when that is too early."""
    if x is None:
        return ()
    is_late = course.due_day is not None and course.due_day < course.ready
    return (line(x, 2, x, HEIGHT - 2, kind="danger" if is_late else "soft", dashed=True),)


def _pointer(x: float) -> str:
    return f"M{x:.2f} {MIDDLE - 4:.2f}L{x - 4:.2f} {MIDDLE - 11:.2f}L{x + 4:.2f} {MIDDLE - 11:.2f}Z"
