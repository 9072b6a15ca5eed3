"""The superfat interval: how low and how high it can really lie, beside the shop's floor and the point of no fat."""

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from formulas.chemistry.results import SuperfatInterval
from formulas.drawing.chart import (
    ACCENT,
    DANGER,
    EDGE,
    SUNK,
    Scale,
    line,
    percent_text,
    small_words,
    strong_words,
    tick_text,
)
from formulas.drawing.inks import INK
from formulas.drawing.markup import Picture, element, picture, words

WIDTH, HEIGHT, SIDE = 640.0, 176.0, 92.0
TRACK_TOP, TRACK = 74.0, 30.0
MIDDLE, FOOT = TRACK_TOP + TRACK / 2, TRACK_TOP + TRACK
BAND_TOP, BAND = TRACK_TOP + 5, TRACK - 10
PLANNED_ROW, ENDS_ROW = TRACK_TOP - 28, TRACK_TOP - 8  # baselines of the words above the track


def superfat_interval_svg(interval: SuperfatInterval, floor_percent: Decimal) -> Picture:
    """Return the interval on a ruler in percent; left of zero, lye is left over."""
    scale = _scale(interval, floor_percent)
    return picture(
        *_lye_zone(scale),
        *_ruler(scale),
        *_floor(interval, scale, floor_percent),
        *_band(interval, scale),
        *_planned(interval, scale),
        *_smallest_safe(interval, scale),
        width=WIDTH,
        height=HEIGHT,
        title=f"Superfat, planned {percent_text(interval.planned)}",
        description=superfat_in_words(interval, floor_percent),
    )


def superfat_in_words(interval: SuperfatInterval, floor_percent: Decimal) -> str:
    verdict = "It can fall below zero: lye would be left over." if interval.lowest < 0 else "It stays above zero."
    if 0 <= interval.lowest < floor_percent:
        verdict = f"It stays above zero, but can fall below the floor of {percent_text(floor_percent)}."
    return (
        f"Lowest {percent_text(interval.lowest)}, likely {percent_text(interval.likely_lowest)} to "
        f"{percent_text(interval.likely_highest)}, highest {percent_text(interval.highest)}. "
        f"Smallest safe plan {percent_text(interval.smallest_safe_plan)}. {verdict}"
    )


def _scale(interval: SuperfatInterval, floor_percent: Decimal) -> Scale:
    low = min(interval.lowest, interval.smallest_safe_plan, Decimal(0)) - 1
    high = max(interval.highest, interval.smallest_safe_plan, floor_percent, Decimal(8)) + 1
    return Scale(
        float(low.to_integral_value(ROUND_FLOOR)), float(high.to_integral_value(ROUND_CEILING)), SIDE, WIDTH - SIDE
    )


def _lye_zone(scale: Scale) -> tuple[Picture, ...]:
    zero = scale.at(0)
    stripes = " ".join(
        f"M{max(x, scale.start):.2f} {FOOT - max(scale.start - x, 0):.2f}L{min(x + TRACK, zero):.2f} "
        f"{TRACK_TOP + max(x + TRACK - zero, 0):.2f}"
        for x in (scale.start - TRACK + 4 + 8 * step for step in range(200))
        if x < zero - 1
    )
    return (
        element(
            "path", d=stripes, fill="none", stroke=DANGER, stroke_width=1.2, class_="danger-line", stroke_opacity=0.8
        ),
        line(zero, TRACK_TOP, zero, FOOT + 8, kind="danger"),
        small_words("lye left over", scale.start - 8, MIDDLE + 4, text_anchor="end", fill=DANGER),
    )


def _ruler(scale: Scale) -> tuple[Picture, ...]:
    marks = [line(scale.start, FOOT, scale.end, FOOT, kind="soft")]
    for tick in scale.ticks(14):
        x = scale.at(tick)
        marks += [
            line(x, FOOT, x, FOOT + 6, kind="soft"),
            small_words(tick_text(tick), x, FOOT + 21, text_anchor="middle"),
        ]
    return (*marks, small_words("% superfat", scale.end + 12, FOOT + 21))


def _floor(interval: SuperfatInterval, scale: Scale, floor_percent: Decimal) -> tuple[Picture, ...]:
    """Draw the floor's line from its label down to the ruler, leaving out what other words cover."""
    x = scale.at(floor_percent)
    rows = (
        (PLANNED_ROW, abs(x - scale.at(interval.planned)) < _width(_planned_text(interval), 9.6) / 2 + 6),
        (ENDS_ROW, _is_beside(x, scale.at(interval.lowest), -_width(percent_text(interval.lowest), 8.5))),
        (ENDS_ROW, _is_beside(x, scale.at(interval.highest), _width(percent_text(interval.highest), 8.5))),
    )
    pieces, top = [], 21.0
    for baseline, covers in rows:
        if covers:
            pieces.append(line(x, top, x, baseline - 15, kind="ink", dashed=True))
            top = baseline + 5
    return (
        *pieces,
        line(x, top, x, FOOT, kind="ink", dashed=True),
        small_words(f"floor {percent_text(floor_percent)}", x, 15, text_anchor="middle"),
    )


def _is_beside(x: float, edge: float, reach: float) -> bool:
    return min(edge, edge + reach) - 5 <= x <= max(edge, edge + reach) + 5


def _width(text: str, each: float) -> float:
    return len(text) * each


def _planned_text(interval: SuperfatInterval) -> str:
    return f"planned {percent_text(interval.planned)}"


def _band(interval: SuperfatInterval, scale: Scale) -> tuple[Picture, ...]:
    low, high, planned = (scale.at(each) for each in (interval.lowest, interval.highest, interval.planned))
    likely_low, likely_high = scale.at(interval.likely_lowest), scale.at(interval.likely_highest)
    box = {"x": low, "y": BAND_TOP, "width": max(high - low, 1), "height": BAND, "rx": 2}
    halves = ((likely_low, planned - 4), (planned + 4, likely_high))
    return (
        element("rect", **box, fill=SUNK, class_="sunk-fill"),
        *(
            element("rect", x=left, y=BAND_TOP, width=right - left, height=BAND, fill=ACCENT, class_="accent-fill")
            for left, right in halves
            if right > left
        ),
        element("rect", **box, fill="none", stroke=INK, stroke_width=1.5, class_="ink-line"),
        words(percent_text(interval.lowest), low - 2, ENDS_ROW, text_anchor="end"),
        words(percent_text(interval.highest), high + 2, ENDS_ROW),
        line(low, TRACK_TOP - 3, low, BAND_TOP),
        line(high, TRACK_TOP - 3, high, BAND_TOP),
    )


def _planned(interval: SuperfatInterval, scale: Scale) -> tuple[Picture, ...]:
    x = scale.at(interval.planned)
    return (
        element("rect", x=x - 1.5, y=TRACK_TOP - 16, width=3, height=TRACK + 16, fill=INK, class_="ink-fill"),
        strong_words(_planned_text(interval), x, PLANNED_ROW, text_anchor="middle", font_size=17),
    )


def _smallest_safe(interval: SuperfatInterval, scale: Scale) -> tuple[Picture, ...]:
    x = scale.at(interval.smallest_safe_plan)
    top = FOOT + 30
    return (
        element("path", d=f"M{x:.2f} {top:.2f}l6 10h-12Z", fill=EDGE, class_="ink-fill"),
        small_words(
            f"smallest safe plan {percent_text(interval.smallest_safe_plan)}", x, top + 25, text_anchor="middle"
        ),
    )
