"""Batches on the way to a plan: which lines share a pour, in which mold, and the first days that fit."""

from bisect import bisect_right
from collections import Counter
from dataclasses import dataclass, field
from datetime import date, timedelta

from production.planning.load import Days, Load
from production.planning.plan_records import RELEASE, MoldYield, PlanDesign, PlanLine, PlannedBatch

# Lines of one design due within so many days share a pour when a mold allows (common practice, no source).
SHARED_POUR_DAYS = 21
# A wish so early that the first free day is taken.
AS_SOON_AS_CAN_BE = 3650


@dataclass
class Draft:
    """A batch on the way: which mold, what it gives to whom, and its days once it is placed."""

    key: str
    design: PlanDesign
    mold: MoldYield
    serves: list[tuple[PlanLine, int]] = field(default_factory=list)
    wish: date | None = None
    days: Days | None = None

    @property
    def due_on(self) -> date:
        """The first day one of its lines is due; bars for nobody yet keep the day they were planned for."""
        return min((line.due_on for line, _ in self.serves), default=self.wish or date.max)

    @property
    def cure_days(self) -> int:
        return next(step.least_days for step in self.design.steps if step.key == RELEASE)

    @property
    def start_by(self) -> date:
        return self.due_on - timedelta(days=self.cure_days)


def group(
    load: Load, design: PlanDesign, waiting: list[tuple[PlanLine, int]], span_days: int, *, first: int = 1
) -> list[Draft]:
    """Share lines and their missing bars out over batches; those due within the span share one where a mold allows."""
    drafts: list[Draft] = []
    ways = load.usable_ways(design)
    while waiting:
        draft = Draft(f"new-{first + len(drafts)}", design, _mold_for(ways, waiting, span_days))
        room = draft.mold.net_bars
        while waiting and room:
            line, need = waiting[0]
            bars = min(need, room)
            room -= bars
            draft.serves.append((line, bars))
            waiting = [(line, need - bars), *waiting[1:]] if need > bars else waiting[1:]
        drafts.append(draft)
    return drafts


def _mold_for(ways: list[MoldYield], waiting: list[tuple[PlanLine, int]], span_days: int) -> MoldYield:
    """The smallest mold that serves what is due soon, or else the largest there is."""
    horizon = waiting[0][0].due_on + timedelta(days=span_days)
    wanted = sum(need for line, need in waiting if line.due_on <= horizon)
    enough = [each for each in ways if each.net_bars >= wanted]
    if enough:
        return min(enough, key=lambda each: (each.net_bars, each.gross_bars))
    return max(ways, key=lambda each: each.net_bars)


def place(load: Load, draft: Draft, buffer_days: int) -> Counter[str]:
    """Book the draft on its first pour day that fits, backward from the wished release and then forward.

    Returns what stood in the way on the days tried; `draft.days` stays None where no day fits.
    """
    wished = load.number(draft.due_on) - 1 - buffer_days - draft.cure_days
    at = bisect_right(load.open_days, wished)
    causes: Counter[str] = Counter()
    for day in (*reversed(load.open_days[:at]), *load.open_days[at:]):
        cause = load.refusal_at_once(draft.design, draft.mold, day)
        days = None if cause else load.step_days(draft.design, draft.mold, day)
        cause = cause or ("bench" if days is None else load.refusal(draft.design, draft.mold, days))
        if days is not None and not cause:
            load.book_days(draft.design, draft.mold, days)
            draft.days = days
            break
        causes[cause] += 1
    return causes


def batch_of(load: Load, draft: Draft) -> PlannedBatch:
    """Return the placed draft as a batch of the plan."""
    days = draft.days or {}
    dated = tuple((step.key, load.day(days[step.key])) for step in draft.design.steps)
    return PlannedBatch(draft.key, draft.design.key, draft.mold.mold, dated)
