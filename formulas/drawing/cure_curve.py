"""The weight of marked bars over the days of cure, with what is expected and how sure that is."""

from dataclasses import dataclass
from decimal import Decimal

from formulas.drawing.chart import (
    ACCENT,
    RULE,
    SUNK,
    Scale,
    line,
    small_words,
    strong_words,
    tick_text,
)
from formulas.drawing.inks import INK
from formulas.drawing.markup import Picture, element, picture

# Drawn small enough that its words stay readable on a phone, where a picture shrinks to the width.
WIDTH, HEIGHT = 400.0, 250.0
LEFT, RIGHT, TOP, FOOT = 48.0, 16.0, 34.0, 40.0


@dataclass(frozen=True)
class CurvePoint:
    """A mean weight on a day of cure; day 0 is the pour."""

    day: int
    grams: Decimal


@dataclass(frozen=True)
class CurveRange:
    """What is expected on a day: nine times in ten between low and high."""

    day: int
    low_grams: Decimal
    expected_grams: Decimal
    high_grams: Decimal


def cure_curve_svg(
    points: tuple[CurvePoint, ...],
    prediction: tuple[CurveRange, ...] = (),
    *,
    ready_day: int | None = None,
    title: str = "Cure",
) -> Picture:
    """Return weighed points as a line, the expected course dashed in its range, and the day it should be ready."""
    days, grams = _days(points, prediction, ready_day), _grams(points, prediction)
    return picture(
        *_grid(days, grams, has_figures=bool(points or prediction)),
        *_range(prediction, days, grams),
        *_ready(ready_day, days),
        *_weighed(points, days, grams),
        width=WIDTH,
        height=HEIGHT,
        title=title,
        description=curve_in_words(points, prediction, ready_day),
    )


def curve_in_words(points: tuple[CurvePoint, ...], prediction: tuple[CurveRange, ...], ready_day: int | None) -> str:
    sentences = ["Nothing weighed yet."]
    if points:
        first, last = points[0], points[-1]
        sentences = [f"{first.grams:.1f} g on day {first.day}, {last.grams:.1f} g on day {last.day}."]
    if prediction:
        end = prediction[-1]
        sentences.append(
            f"Expected on day {end.day}: {end.expected_grams:.1f} g, "
            f"between {end.low_grams:.1f} and {end.high_grams:.1f} g."
        )
    if ready_day is not None:
        sentences.append(f"Ready about day {ready_day}.")
    return " ".join(sentences)


def _days(points: tuple[CurvePoint, ...], prediction: tuple[CurveRange, ...], ready_day: int | None) -> Scale:
    last = max((*(point.day for point in points), *(each.day for each in prediction), ready_day or 0, 7))
    return Scale(0, last * 1.03, LEFT, WIDTH - RIGHT)


def _grams(points: tuple[CurvePoint, ...], prediction: tuple[CurveRange, ...]) -> Scale:
    seen = [float(point.grams) for point in points]
    seen += [float(end) for each in prediction for end in (each.low_grams, each.high_grams)]
    low, high = (min(seen), max(seen)) if seen else (0.0, 100.0)
    margin = max((high - low) * 0.1, 1.0)
    return Scale(low - margin, high + margin, HEIGHT - FOOT, TOP)


def _grid(days: Scale, grams: Scale, *, has_figures: bool) -> tuple[Picture, ...]:
    marks: list[Picture] = []
    for tick in grams.ticks(5) if has_figures else ():
        y = grams.at(tick)
        marks += [
            line(LEFT, y, WIDTH - RIGHT, y, kind="rule"),
            small_words(tick_text(tick), LEFT - 8, y + 4, text_anchor="end"),
        ]
    marks.append(line(LEFT, HEIGHT - FOOT, WIDTH - RIGHT, HEIGHT - FOOT, kind="ink"))
    week = 7 if days.high <= 77 else 28
    for day in range(0, int(days.high) + 1, week):
        x = days.at(day)
        marks += [
            line(x, HEIGHT - FOOT, x, HEIGHT - FOOT + 5, kind="ink"),
            small_words(str(day), x, HEIGHT - FOOT + 20, text_anchor="middle"),
        ]
    marks.append(small_words("day", WIDTH - RIGHT, HEIGHT - 4, text_anchor="end"))
    if has_figures:
        marks.append(small_words("g a bar", LEFT - 8, TOP - 14, text_anchor="end"))
    return tuple(marks)


def _range(prediction: tuple[CurveRange, ...], days: Scale, grams: Scale) -> tuple[Picture, ...]:
    if not prediction:
        return ()
    above = " ".join(f"{days.at(each.day):.2f} {grams.at(each.high_grams):.2f}" for each in prediction)
    below = " ".join(f"{days.at(each.day):.2f} {grams.at(each.low_grams):.2f}" for each in reversed(prediction))
    middle = " ".join(f"{days.at(each.day):.2f} {grams.at(each.expected_grams):.2f}" for each in prediction)
    return (
        element("path", d=f"M{above} {below}Z", fill=SUNK, class_="sunk-fill"),
        *(
            element("path", d=f"M{edge}", fill="none", stroke=RULE, stroke_width=1, class_="rule-line")
            for edge in (above, below)
        ),
        element(
            "path",
            d=f"M{middle}",
            fill="none",
            stroke=ACCENT,
            stroke_width=2.5,
            stroke_dasharray="5 4",
            class_="accent-line dashed",
        ),
    )


def _weighed(points: tuple[CurvePoint, ...], days: Scale, grams: Scale) -> tuple[Picture, ...]:
    if not points:
        return (
            small_words("Nothing weighed yet", (LEFT + WIDTH - RIGHT) / 2, HEIGHT - FOOT - 14, text_anchor="middle"),
        )
    places = [(days.at(point.day), grams.at(point.grams)) for point in points]
    course = " ".join(f"{x:.2f} {y:.2f}" for x, y in places)
    dots = [element("circle", cx=x, cy=y, r=4, fill=INK, class_="ink-fill") for x, y in places]
    last_x, last_y = places[-1]
    at_end = last_x > WIDTH - RIGHT - 70
    return (
        element("path", d=f"M{course}", fill="none", stroke=INK, stroke_width=2, class_="ink-line"),
        *dots,
        strong_words(
            f"{points[-1].grams:.1f} g",
            last_x - 2 if at_end else last_x + 2,
            last_y - 12,
            text_anchor="end" if at_end else "start",
        ),
    )


def _ready(ready_day: int | None, days: Scale) -> tuple[Picture, ...]:
    if ready_day is None:
        return ()
    x = days.at(ready_day)
    anchor = "end" if x > WIDTH / 2 else "start"
    return (
        line(x, TOP - 6, x, HEIGHT - FOOT, kind="ink", dashed=True),
        strong_words(f"ready about day {ready_day}", x + (-8 if anchor == "end" else 8), TOP + 6, text_anchor=anchor),
    )
