"""A mold from above with its cuts: bars numbered, trimmed ends hatched."""

from decimal import Decimal

from formulas.drawing.chart import EDGE, line, small_words, strong_words
from formulas.drawing.inks import INK
from formulas.drawing.markup import Picture, element, picture
from formulas.geometry import ColumnMold, LoafMold, SlabMold

WIDTH, MARGIN, NOTE = 640.0, 4.0, 26.0
LEAST_FOR_NUMBER = 16.0


def mold_cut_plan_svg(mold: LoafMold | ColumnMold | SlabMold, *, end_trim_mm: Decimal = Decimal(0)) -> Picture:
    """Return the cuts to scale; what is left after the last bar lies at the right with the second trim."""
    if isinstance(mold, SlabMold):
        return _slab(mold)
    bars = mold.bars_after_trim(end_trim_mm)
    across_mm = mold.diameter_mm if isinstance(mold, ColumnMold) else mold.width_mm
    unit = (WIDTH - 2 * MARGIN) / float(mold.length_mm)
    height = float(across_mm) * unit
    first, each = MARGIN + float(end_trim_mm) * unit, float(mold.bar_thickness_mm) * unit
    last = first + bars * each
    end = WIDTH - MARGIN
    return picture(
        *(_hatched(x, x_end, height) for x, x_end in ((MARGIN, first), (last, end)) if x_end - x > 0.5),
        element(
            "rect",
            x=MARGIN,
            y=MARGIN,
            width=end - MARGIN,
            height=height,
            fill="none",
            stroke=INK,
            stroke_width=1.5,
            class_="ink-line",
        ),
        *(line(first + place * each, MARGIN, first + place * each, MARGIN + height) for place in range(bars + 1)),
        *(_number(place + 1, first + (place + 0.5) * each, MARGIN + height / 2, each) for place in range(bars)),
        small_words(_loaf_note(mold, bars, end_trim_mm), MARGIN, MARGIN + height + 20),
        width=WIDTH,
        height=height + 2 * MARGIN + NOTE,
        title=f"Cut plan: {bars} bars",
        description=_loaf_note(mold, bars, end_trim_mm) + ".",
    )


def _slab(mold: SlabMold) -> Picture:
    unit = (WIDTH - 2 * MARGIN) / float(mold.length_mm)
    height = float(mold.width_mm) * unit
    wide, high = (WIDTH - 2 * MARGIN) / mold.columns, height / mold.rows
    long_mm, short_mm = mold.length_mm / mold.columns, mold.width_mm / mold.rows
    note = f"{mold.rows} rows of {mold.columns}, {long_mm:.1f} × {short_mm:.1f} mm each"
    return picture(
        element(
            "rect",
            x=MARGIN,
            y=MARGIN,
            width=WIDTH - 2 * MARGIN,
            height=height,
            fill="none",
            stroke=INK,
            stroke_width=1.5,
            class_="ink-line",
        ),
        *(line(MARGIN + n * wide, MARGIN, MARGIN + n * wide, MARGIN + height) for n in range(1, mold.columns)),
        *(line(MARGIN, MARGIN + n * high, WIDTH - MARGIN, MARGIN + n * high) for n in range(1, mold.rows)),
        *(
            _number(row * mold.columns + n + 1, MARGIN + (n + 0.5) * wide, MARGIN + (row + 0.5) * high, min(wide, high))
            for row in range(mold.rows)
            for n in range(mold.columns)
        ),
        small_words(note, MARGIN, MARGIN + height + 20),
        width=WIDTH,
        height=height + 2 * MARGIN + NOTE,
        title=f"Cut plan: {mold.gross_bars} bars",
        description=note + ".",
    )


def _loaf_note(mold: LoafMold | ColumnMold, bars: int, end_trim_mm: Decimal) -> str:
    rest_mm = mold.length_mm - 2 * end_trim_mm - bars * mold.bar_thickness_mm
    return f"{bars} bars of {mold.bar_thickness_mm:.1f} mm, ends {end_trim_mm:.1f} mm each, {rest_mm:.1f} mm left over"


def _number(number: int, x: float, y: float, room: float) -> Picture:
    return strong_words(
        str(number), x, y + 5, text_anchor="middle", font_size=14 if room > 2 * LEAST_FOR_NUMBER else 10
    )


def _hatched(x: float, end: float, height: float) -> Picture:
    stripes = []
    foot = MARGIN + height
    start = x - height
    while start < end:
        left, right = max(start, x), min(start + height, end)
        if right > left:
            stripes.append(f"M{left:.2f} {foot - (left - start):.2f}L{right:.2f} {foot - (right - start):.2f}")
        start += 7
    return element("path", d=" ".join(stripes), fill="none", stroke=EDGE, stroke_width=1, class_="soft-line")
