"""What a proposal would change, in words: batches that move and batches that are new."""

from collections import Counter
from dataclasses import dataclass
from datetime import date

from production.plan.records import ShopPlan, order_number
from production.planning.plan_answer import STATUS_TEXT, PlanStatus
from production.planning.plan_records import POUR, RELEASE, Plan, PlannedBatch
from production.planning.repair import Rung


@dataclass(frozen=True)
class Change:
    """One batch that the proposal moves or makes; `key` is what is ticked to take it over.

    `surplus_bars` of a new batch go on the shelf: good bars beyond those it is poured for, spares kept back.
    """

    key: str
    name: str
    is_new: bool
    bars: int
    pour_before: date | None
    pour_on: date
    release_on: date
    orders: tuple[str, ...]
    surplus_bars: int


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
        surplus_bars=max(way.net_bars - served.total(), 0) if before is None else 0,
    )


def rung_words(rungs: tuple[Rung, ...]) -> tuple[RungWords, ...]:
    return tuple(RungWords(place, rung, _status(rung)) for place, rung in enumerate(rungs))


def _status(rung: Rung) -> str:
    answer = rung.answer
    if answer.status == PlanStatus.GOOD and answer.levels and answer.levels[0].bound:
        return f"{STATUS_TEXT[answer.status]} No plan can have fewer than {answer.levels[0].bound} late days."
    return f"{STATUS_TEXT[answer.status]} {answer.notice}".strip()
