"""Why a line is late: it came too late, waits for an ingredient, or others are in its way; and what would help.

The first two are found by planning the line alone in an empty workshop. What one more of something would change is
found by planning the whole anew, quickly: "saves so many late days" was seen, "would not help" is never claimed.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from production.planning.list_schedule import list_schedule
from production.planning.plan_records import Plan, PlanInput, PlanLine

CAME_LATE, INGREDIENT, CROWDED = "came_late", "ingredient", "crowded"
PLENTY = 10**6
HOUR = 60


@dataclass(frozen=True)
class LateReason:
    """`earliest_on` is the first day the line could be packed were it alone."""

    line: str
    kind: str
    late_days: int
    earliest_on: date | None


@dataclass(frozen=True)
class Relief:
    """One more of something, and the weighted late days the quick plan then saves."""

    what: str
    saved_days: int


def late_lines(asked: PlanInput, plan: Plan) -> list[tuple[PlanLine, int]]:
    """Return the lines that are packed on their due day or later, with their days."""
    packed = dict(plan.packs)
    return [
        (line, (packed[line.key] - line.due_on).days + 1)
        for line in asked.lines
        if line.key in packed and packed[line.key] >= line.due_on
    ]


def why_late(asked: PlanInput, plan: Plan) -> tuple[LateReason, ...]:
    """Return one reason for each late line, the first that holds: too late, ingredient, or a crowded workshop."""
    return tuple(_reason(asked, line, days) for line, days in late_lines(asked, plan))


def _reason(asked: PlanInput, line: PlanLine, days: int) -> LateReason:
    alone = _alone(asked, line)
    free = earliest_alone(asked, line)
    if free is None or free >= line.due_on:
        return LateReason(line.key, CAME_LATE, days, free)
    with_supplies = _earliest(alone, line)
    if with_supplies is None or with_supplies >= line.due_on:
        without = _earliest(replace(alone, supplies=()), line)
        if without is not None and without < line.due_on:
            return LateReason(line.key, INGREDIENT, days, with_supplies)
    return LateReason(line.key, CROWDED, days, with_supplies)


def earliest_alone(asked: PlanInput, line: PlanLine) -> date | None:
    """Return the first day the line could be packed in an empty workshop that lacks nothing: the cure's own day."""
    return _earliest(_without_limits(_alone(asked, line)), line)


def _alone(asked: PlanInput, line: PlanLine) -> PlanInput:
    """The line in an empty workshop, wanted as soon as can be; the bars it has already stay with it."""
    own = {share.source for share in asked.reserved if share.line == line.key}
    return replace(
        asked,
        lines=(replace(line, due_on=asked.today + timedelta(days=1)),),
        fixed=tuple(each for each in asked.fixed if each.key in own),
        movable=tuple(each for each in asked.movable if each.key in own),
        reserved=tuple(share for share in asked.reserved if share.line == line.key),
    )


def _without_limits(asked: PlanInput) -> PlanInput:
    return replace(
        asked,
        bench=tuple(replace(each, minutes=PLENTY) for each in asked.bench if each.minutes),
        molds=tuple((mold, PLENTY) for mold, _ in asked.molds),
        rack_bars=PLENTY,
        pours_per_day=PLENTY,
        supplies=(),
    )


def _earliest(asked: PlanInput, line: PlanLine) -> date | None:
    return dict(list_schedule(asked).plan.packs).get(line.key)


def reliefs(asked: PlanInput) -> tuple[Relief, ...]:
    """Return what one more of each scarce thing saves in late days, the most helpful first; nothing that saves none."""
    before = list_schedule(asked)
    changes: list[tuple[str, Callable[[PlanInput], PlanInput]]] = [
        (f"one more {mold}", _one_more_mold(mold)) for mold, _ in asked.molds
    ]
    changes += [
        ("one more hour at the bench a day", _one_more_hour),
        ("half as many rack places again", lambda shop: replace(shop, rack_bars=shop.rack_bars * 3 // 2)),
        ("one more pour a day", lambda shop: replace(shop, pours_per_day=shop.pours_per_day + 1)),
        ("every ingredient on the shelf today", lambda shop: replace(shop, supplies=())),
    ]
    found = []
    for what, change in changes:
        after = list_schedule(change(asked))
        if len(after.unplaced) <= len(before.unplaced):
            found.append(Relief(what, before.score.late_days - after.score.late_days))
    return tuple(
        sorted((each for each in found if each.saved_days > 0), key=lambda each: (-each.saved_days, each.what))
    )


def _one_more_mold(name: str) -> Callable[[PlanInput], PlanInput]:
    return lambda shop: replace(shop, molds=tuple((mold, owned + (mold == name)) for mold, owned in shop.molds))


def _one_more_hour(shop: PlanInput) -> PlanInput:
    return replace(shop, bench=tuple(replace(each, minutes=each.minutes + HOUR) for each in shop.bench))
