"""Whether a batch is ready for review: by facts, never by the calendar alone; releasing it is a person's decision.

READY needs the cure days over, the weights steady and the checks entered. Steady weight alone does not prove cured.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache

from production.cure.alkali import AlkaliDecision, CheckMade, judge_alkali
from production.cure.facts import CureFacts, Reason
from production.cure.reasons import (
    alkali_reasons,
    check_reasons,
    cut_reasons,
    day_reasons,
    hold_reasons,
    weight_reasons,
)
from production.cure.weights import BarWeighing, Doubt, MarkedBar, doubts, last_week_loss_percent, without_doubt

__all__ = ["BarWeighing", "CheckMade", "CureFacts", "CureState", "MarkedBar", "Readiness", "Reason", "judge_readiness"]

# Judgments kept in memory: more batches than lie on the rack of any small workshop.
MOST_REMEMBERED = 2000


class CureState(StrEnum):
    NOT_CUT = "not_cut"
    CURING = "curing"
    READY = "ready"
    HELD = "held"

    @property
    def label(self) -> str:
        return {"not_cut": "Not cut yet", "curing": "Curing", "ready": "Ready for review", "held": "On hold"}[
            self.value
        ]


@dataclass(frozen=True)
class Readiness:
    """`day_of_cure` counts calendar days from the pour, the pour day being day 0."""

    state: CureState
    day_of_cure: int
    days_to_go: int
    ready_on: date
    best_from: date
    week_loss_percent: Decimal | None
    alkali: AlkaliDecision
    reasons: tuple[Reason, ...]
    may_release_early: bool

    @property
    def is_ready(self) -> bool:
        return self.state == CureState.READY


@lru_cache(maxsize=MOST_REMEMBERED)
def judge_readiness(facts: CureFacts) -> Readiness:
    """Judge one batch on one day. Remembered: the same facts on the same day are always judged the same."""
    alkali = judge_alkali(
        facts.checks,
        superfat_percent=facts.superfat_percent,
        superfat_floor_percent=facts.superfat_floor_percent,
    )
    questioned = _questioned(facts)
    bars = tuple(without_doubt(bar, questioned) for bar in facts.bars)
    week_loss = max((loss for loss in map(last_week_loss_percent, bars) if loss is not None), default=None)
    holding = (*hold_reasons(facts), *alkali_reasons(facts, alkali, holds=True))
    waiting = (
        *cut_reasons(facts),
        *day_reasons(facts),
        *(Reason(doubt.code, doubt.text, doubt.mend) for doubt in questioned),
        *weight_reasons(facts, bars, week_loss),
        *check_reasons(facts),
    )
    day = (facts.today - facts.poured_on).days
    state = _state(facts, holding, waiting)
    return Readiness(
        state=state,
        day_of_cure=day,
        days_to_go=max(0, facts.cure_days - day),
        ready_on=_ready_on(facts, state),
        best_from=facts.poured_on + timedelta(days=facts.cure_days),
        week_loss_percent=week_loss,
        alkali=alkali,
        reasons=(*holding, *waiting, *alkali_reasons(facts, alkali, holds=False)),
        may_release_early=_may_release_early(facts, state, day, holding, waiting),
    )


def _state(facts: CureFacts, holding: tuple[Reason, ...], waiting: tuple[Reason, ...]) -> CureState:
    if holding:
        return CureState.HELD
    if facts.cut_on is None:
        return CureState.NOT_CUT
    return CureState.CURING if waiting else CureState.READY


def _ready_on(facts: CureFacts, state: CureState) -> date:
    """The first day the batch can be ready: the cure days, the forecast of its weights, and not before today."""
    days = [facts.poured_on + timedelta(days=facts.cure_days)]
    if state != CureState.READY:
        days += [facts.today] + ([facts.forecast_ready_on] if facts.forecast_ready_on else [])
    return max(days)


def _may_release_early(
    facts: CureFacts, state: CureState, day: int, holding: tuple[Reason, ...], waiting: tuple[Reason, ...]
) -> bool:
    """Before the full cure an owner may release with a reason, when time and weight are all that is missing."""
    time_alone = {"cure_days", "still_losing", "too_few_weighings", "old_weighing", "not_weighed"}
    if state != CureState.CURING or holding or day < facts.least_cure_days:
        return False
    return all(reason.code in time_alone for reason in waiting)


def _questioned(facts: CureFacts) -> tuple[Doubt, ...]:
    cut_on = facts.cut_on or facts.poured_on
    most = facts.water_percent + facts.scent_percent
    found: list[Doubt] = []
    for bar in facts.bars:
        found += doubts(
            bar,
            cut_on=cut_on,
            today=facts.today,
            most_loss_percent=most,
            batch=facts.batch,
            scale_step_grams=facts.scale_step_grams,
        )
    return tuple(found)
