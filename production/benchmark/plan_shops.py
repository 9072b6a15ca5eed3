"""Workshops made up for planning: busy ones whose orders can all be in time, and ones that promised too much.

The same seed gives the same shop. Sizes follow a study of our own: lines, horizon, designs and molds grow together.
"""

import random
from dataclasses import dataclass
from datetime import date, timedelta

from production.planning.plan_records import (
    RELEASE,
    BenchDay,
    MoldYield,
    PlanDesign,
    PlanInput,
    PlanLine,
    PlanStep,
    Supply,
)

START = date(2026, 3, 2)  # a Monday
BENCH_MINUTES = 180
BARS_OF = {"loaf": 10, "tall": 18, "slab": 24, "tray": 36}
# Of so many bars cut, this many percent can be promised.
NET_PERCENT = 95


@dataclass(frozen=True)
class Size:
    """How large a shop is; `squeeze_percent` of the span of due days is left when it promised too much."""

    days: int
    designs: int
    molds: tuple[int, int, int, int]
    rack_bars: int
    squeeze_percent: int


SIZES = {
    20: Size(75, 6, (1, 1, 1, 1), 250, 65),
    60: Size(100, 10, (3, 2, 1, 2), 720, 66),
    150: Size(140, 15, (4, 3, 2, 2), 1800, 95),
}


def study_shop(lines: int, *, seed: int, is_overloaded: bool) -> PlanInput:
    """Return a shop with 20, 60 or 150 order lines."""
    chance, size = random.Random(seed * 1000 + lines), SIZES[lines]  # noqa: S311
    designs = tuple(_design(number, chance) for number in range(size.designs))
    return PlanInput(
        today=START,
        bench=tuple(
            BenchDay(day, BENCH_MINUTES)
            for day in (START + timedelta(days=ahead) for ahead in range(size.days + 90))
            if day.weekday() < 5
        ),
        designs=designs,
        molds=tuple(zip(BARS_OF, size.molds, strict=True)),
        lines=tuple(_line(number, chance, designs, size, is_overloaded=is_overloaded) for number in range(lines)),
        rack_bars=size.rack_bars,
        pours_per_day=2,
        supplies=(
            Supply("oil", 10**9),
            Supply("butter", 40 * 150, ((START + timedelta(days=18), 10**8),)),
        ),
    )


def _design(number: int, chance: random.Random) -> PlanDesign:
    cure_days = chance.choice((28, 28, 35, 35, 42))
    molds = sorted(chance.sample(tuple(BARS_OF), chance.choice((2, 3))))
    steps = (
        PlanStep("pour", "pour", 0, 0, 60),
        PlanStep("lye", "pour", -1, 0, 20),
        PlanStep("cut", "pour", 1, 3, 10, 5),
        PlanStep("stamp", "cut", 1, 3, 0, 5),
        PlanStep("release", "pour", cure_days, None, 20),
    )
    ways = tuple(MoldYield(mold, BARS_OF[mold], BARS_OF[mold] * NET_PERCENT // 100) for mold in molds)
    return PlanDesign(f"d{number}", ways, steps, (("oil", 80), ("butter", chance.choice((0, 0, 40)))), 10)


def _line(
    number: int, chance: random.Random, designs: tuple[PlanDesign, ...], size: Size, *, is_overloaded: bool
) -> PlanLine:
    design = chance.choice(designs)
    cure_days = next(step.least_days for step in design.steps if step.key == RELEASE)
    first, last = cure_days + (2 if is_overloaded else 6), size.days - 5
    if is_overloaded:
        last = max(first + 8, first + (last - first) * size.squeeze_percent // 100)
    bars = chance.choice((4, 6, 8, 10, 12, 14, 18, 24))
    due_on = START + timedelta(days=chance.randint(first, last))
    return PlanLine(f"L{number}", design.key, bars, due_on, chance.choice((1, 1, 1, 2, 4)))
