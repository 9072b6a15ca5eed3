"""What a proposal would change, in words: batches that move, batches that are new, and orders that stay late."""

from collections import Counter
from dataclasses import dataclass
from datetime import date

from production.plan.records import ShopPlan, order_number
from production.planning.lateness import CAME_LATE, INGREDIENT, LateReason, Relief, reliefs, why_late
from production.planning.plan_answer import STATUS_TEXT, PlanStatus
from production.planning.plan_records import POUR, RELEASE, Plan, PlannedBatch
from production.planning.repair import Rung


@dataclass(frozen=True)
class Change:
    """One batch that the proposal moves or makes; `key` is what is ticked to take it over."""

    key: str
    name: str
    is_new: bool
    bars: int
    pour_before: date | None
    pour_on: date
    release_on: date
    orders: tuple[str, ...]


@dataclass(frozen=True)
class LateWords:
    line: str
    late_days: int
    why: str


@dataclass(frozen=True)
class RungWords:
    place: int
    rung: Rung
    status: str

    @property
    def batches(self) -> int:
        return self.rung.answer.score.batches


def changes_of(shop: ShopPlan, plan: Plan) -> tuple[Change, ...]:
    """Return what differs from the shop as it stands, in the order of the pours."""
    standing = {batch.key: batch for batch in (*shop.asked.fixed, *shop.asked.movable)}
    found = [
        _change(shop, plan, batch, standing.get(batch.key))
        for batch in plan.batches
        if batch.key not in standing or set(batch.days) != set(standing[batch.key].days)
    ]
    return tuple(sorted(found, key=lambda change: (change.pour_on, change.key)))


def _change(shop: ShopPlan, plan: Plan, batch: PlannedBatch, before: PlannedBatch | None) -> Change:
    served: Counter[str] = Counter()
    for share in plan.shares:
        if share.source == batch.key:
            served[order_number(share.line)] += share.bars
    way = next(
        way
        for design in shop.asked.designs
        if design.key == batch.design
        for way in design.yields
        if way.mold == batch.mold
    )
    return Change(
        key=batch.key,
        name=f"{batch.design}, {batch.mold}" if before is None else f"{batch.key} {batch.design}",
        is_new=before is None,
        bars=way.gross_bars,
        pour_before=before.on(POUR) if before else None,
        pour_on=batch.on(POUR),
        release_on=batch.on(RELEASE),
        orders=tuple(f"{bars} for order {number}" for number, bars in sorted(served.items())),
    )


def rung_words(rungs: tuple[Rung, ...]) -> tuple[RungWords, ...]:
    return tuple(RungWords(place, rung, _status(rung)) for place, rung in enumerate(rungs))


def _status(rung: Rung) -> str:
    answer = rung.answer
    if answer.status == PlanStatus.GOOD and answer.levels and answer.levels[0].bound:
        return f"{STATUS_TEXT[answer.status]} No plan can have fewer than {answer.levels[0].bound} late days."
    return f"{STATUS_TEXT[answer.status]} {answer.notice}".strip()


def late_words(shop: ShopPlan, plan: Plan) -> tuple[LateWords, ...]:
    """Return each line that is late in this plan and why."""
    return tuple(LateWords(each.line, each.late_days, _why(each)) for each in why_late(shop.asked, plan))


def _why(reason: LateReason) -> str:
    earliest = (
        f"{reason.earliest_on:%b} {reason.earliest_on.day}, {reason.earliest_on.year}" if reason.earliest_on else ""
    )
    if reason.kind == CAME_LATE:
        if not earliest:
            return "It came too late: there is no open day left for it in the days looked at."
        return (
            f"It came too late: even alone in the workshop, after its cure it is packed on {earliest} at the earliest."
        )
    if reason.kind == INGREDIENT:
        day = earliest or "no day"
        return f"It waits for an ingredient: with what is on the shelf and on its way it is packed on {day}."
    return (
        f"Other batches are in its way; alone it would be packed on {earliest}." if earliest else "It finds no place."
    )


def relief_words(shop: ShopPlan) -> tuple[Relief, ...]:
    return reliefs(shop.asked)
