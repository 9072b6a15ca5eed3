"""Why a line is late: it came too late, waits for an ingredient, or others are in its way; and what would help.

Too late and waiting for an ingredient are bounds: no plan can do better. What one more of something would change is
found by planning the whole anew: "saves so many late days" was seen. "Would not help" is only said where a bound of the
relaxed workshop proves it.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from production.planning.bounds import earliest_days, least_late_days
from production.planning.list_schedule import list_schedule
from production.planning.load import FAR
from production.planning.local_search import search
from production.planning.plan_check import score
from production.planning.plan_records import Plan, PlanInput, PlanLine, PlanResult

CAME_LATE, INGREDIENT, CROWDED = "came_late", "ingredient", "crowded"
PLENTY = 10**6
HOUR = 60
# Tries for each relaxed workshop, so that it is judged by the same search as the plan itself.
RELIEF_TRIES = 150


@dataclass(frozen=True)
class LateReason:
    """`earliest_on` is the first day the line could be packed were it alone; `ingredient` names what it waits for."""

    line: str
    kind: str
    late_days: int
    earliest_on: date | None
    ingredient: str = ""


@dataclass(frozen=True)
class Relief:
    """One more of something, the weighted late days a plan then saves, and the lines that are in time with it.

    `is_proven_useless` when a bound forbids that it saves any.
    """

    what: str
    saved_days: int
    is_proven_useless: bool = False
    in_time: tuple[str, ...] = ()


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
    bare = earliest_alone(asked, line)
    if bare is None or bare >= line.due_on:
        return LateReason(line.key, CAME_LATE, days, bare)
    alone = _earliest(_alone(asked, line), line)
    if alone is None or alone >= line.due_on:
        for supply in asked.supplies:
            rest = tuple(each for each in asked.supplies if each is not supply)
            without = _earliest(replace(_alone(asked, line), supplies=rest), line)
            if without is not None and without < line.due_on:
                return LateReason(line.key, INGREDIENT, days, alone, supply.ingredient)
        without = _earliest(replace(_alone(asked, line), supplies=()), line)
        if without is not None and without < line.due_on:
            return LateReason(line.key, INGREDIENT, days, alone)
    return LateReason(line.key, CROWDED, days, alone)


def earliest_alone(asked: PlanInput, line: PlanLine) -> date | None:
    """Return the day before which the line cannot be packed in a workshop that lacks nothing: the cure's own day."""
    return _earliest(_without_limits(_alone(asked, line)), line)


def _alone(asked: PlanInput, line: PlanLine) -> PlanInput:
    """The line in an empty workshop; the bars it has already stay with it."""
    own = {share.source for share in asked.reserved if share.line == line.key}
    return replace(
        asked,
        lines=(line,),
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
    """The first day that no limit looked at by itself rules out: a bound, and mostly the day itself."""
    day = earliest_days(asked).pack[line.key]
    return None if day >= FAR else asked.today + timedelta(days=day)


def reliefs(asked: PlanInput, plan: Plan, *, tries: int = RELIEF_TRIES) -> tuple[Relief, ...]:
    """Return what one more of each scarce thing saves in late days, the most helpful first."""
    late = score(asked, plan).late_days
    changes: list[tuple[str, Callable[[PlanInput], PlanInput]]] = [
        (f"one more {mold}", _one_more_mold(mold)) for mold, _ in asked.molds
    ]
    changes += [
        ("one more hour at the bench a day", _one_more_hour),
        ("half as many rack places again", lambda shop: replace(shop, rack_bars=shop.rack_bars * 3 // 2)),
        ("one more pour a day", lambda shop: replace(shop, pours_per_day=shop.pours_per_day + 1)),
        ("every ingredient on the shelf today", lambda shop: replace(shop, supplies=())),
    ]
    found = [_relief(what, change(asked), plan, late, tries) for what, change in changes]
    worth = [each for each in found if each.saved_days > 0 or each.is_proven_useless]
    return tuple(sorted(worth, key=lambda each: (-each.saved_days, each.what)))


def _relief(what: str, relaxed: PlanInput, plan: Plan, late: int, tries: int) -> Relief:
    """Search on from the plan there is, and from a new one; useless only when the bound forbids any gain."""
    least = least_late_days(relaxed)
    if least >= late:
        return Relief(what, 0, is_proven_useless=True)
    starts = [PlanResult(plan, score(relaxed, plan)), list_schedule(relaxed)]
    start = min((each for each in starts if not each.unplaced), key=lambda each: each.score.order)
    better = search(relaxed, start, tries=tries, least=least)
    still = {line.key for line, _ in late_lines(relaxed, better.plan)}
    mended = tuple(line.key for line, _ in late_lines(relaxed, plan) if line.key not in still)
    return Relief(what, max(late - better.score.late_days, 0), in_time=mended)


def _one_more_mold(name: str) -> Callable[[PlanInput], PlanInput]:
    return lambda shop: replace(shop, molds=tuple((mold, owned + (mold == name)) for mold, owned in shop.molds))


def _one_more_hour(shop: PlanInput) -> PlanInput:
    return replace(shop, bench=tuple(replace(each, minutes=each.minutes + HOUR) for each in shop.bench))
