"""Whether a batch is ready for review: by facts, never by the calendar alone; releasing it is a person's decision.

READY needs the cure days over, the weights steady and the checks entered. Steady weight alone does not prove cured.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum

from production.cure.alkali import (
    SUPERFAT_FLOOR_PERCENT,
    ZAP,
    AlkaliDecision,
    AlkaliLevel,
    CheckMade,
    judge_alkali,
)
from production.cure.weights import (
    SCALE_STEP_GRAMS,
    Doubt,
    MarkedBar,
    doubts,
    in_order,
    last_week_loss_percent,
    without_doubt,
)

# Under 1 % in the last week counts as steady (common practice, no source).
WEEKLY_LOSS_LIMIT_PERCENT = Decimal(1)
# No cold-process bar starts with more water than this; used while the batch's own share is not known.
MOST_WATER_PERCENT = Decimal(30)
FRESH_WEIGHING_DAYS = 7


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
class CureFacts:
    """Everything known about a batch on the rack. `water_percent` and `scent_percent` are shares of the fresh bar.

    `superfat_percent` is recomputed from what was really weighed. `open_deviations` are their short titles.
    """

    poured_on: date
    today: date
    cut_on: date | None = None
    cure_days: int = 42
    least_cure_days: int = 28
    bars: tuple[MarkedBar, ...] = ()
    checks: tuple[CheckMade, ...] = ()
    open_deviations: tuple[str, ...] = ()
    has_hold: bool = False
    hold_reason: str = ""
    batch: str = ""
    superfat_percent: Decimal | None = None
    superfat_floor_percent: Decimal = SUPERFAT_FLOOR_PERCENT
    water_percent: Decimal = MOST_WATER_PERCENT
    scent_percent: Decimal = Decimal()
    scale_step_grams: Decimal = SCALE_STEP_GRAMS
    weekly_loss_limit_percent: Decimal = WEEKLY_LOSS_LIMIT_PERCENT
    forecast_ready_on: date | None = None


@dataclass(frozen=True)
class Reason:
    """Why a batch is not ready, or what the person who releases it must know (`blocks` False)."""

    code: str
    text: str
    mend: str
    blocks: bool = True


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


def judge_readiness(facts: CureFacts) -> Readiness:
    """Judge one batch on one day."""
    alkali = judge_alkali(
        facts.checks,
        superfat_percent=facts.superfat_percent,
        superfat_floor_percent=facts.superfat_floor_percent,
    )
    questioned = _questioned(facts)
    bars = tuple(without_doubt(bar, questioned) for bar in facts.bars)
    week_loss = max((loss for loss in map(last_week_loss_percent, bars) if loss is not None), default=None)
    holding = (*_hold_reasons(facts), *_alkali_reasons(facts, alkali, holds=True))
    waiting = (
        *_cut_reasons(facts),
        *_day_reasons(facts),
        *(Reason(doubt.code, doubt.text, doubt.mend) for doubt in questioned),
        *_weight_reasons(facts, bars, week_loss),
        *_check_reasons(facts),
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
        reasons=(*holding, *waiting, *_alkali_reasons(facts, alkali, holds=False)),
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
    """Before the full cure an owner may release with a reason, but only when time and weight are all that is missing."""
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


def _hold_reasons(facts: CureFacts) -> tuple[Reason, ...]:
    found = []
    if facts.has_hold:
        why = f": {facts.hold_reason}" if facts.hold_reason else ""
        found.append(Reason("hold", f"The batch is on hold{why}.".replace("..", "."), "Clear the hold, or reject it."))
    for title in facts.open_deviations:
        found.append(Reason("open_deviation", f"A deviation is still open: {title}", "Close it with a decision."))
    return tuple(found)


def _cut_reasons(facts: CureFacts) -> tuple[Reason, ...]:
    if facts.cut_on is not None:
        return ()
    return (Reason("not_cut", "The batch is not cut yet.", "Cut it and count the bars."),)


def _day_reasons(facts: CureFacts) -> tuple[Reason, ...]:
    day = (facts.today - facts.poured_on).days
    if day < 0:
        return (Reason("pour_in_future", "The pour is dated on a day still to come.", "Correct the day of the pour."),)
    left = facts.cure_days - day
    if left <= 0:
        return ()
    over_on = facts.poured_on + timedelta(days=facts.cure_days)
    text = f"Day {day} of {facts.cure_days}: {left} {'day' if left == 1 else 'days'} to go."
    return (Reason("cure_days", text, f"Wait until {over_on.day} {over_on:%B %Y}."),)


def _weight_reasons(facts: CureFacts, bars: tuple[MarkedBar, ...], week_loss: Decimal | None) -> tuple[Reason, ...]:
    if facts.cut_on is None:
        return ()
    last = max((in_order(bar)[-1].on for bar in bars if bar.weighings), default=None)
    if last is None:
        return (Reason("not_weighed", "No bar has been weighed yet.", "Weigh the marked bars."),)
    if week_loss is None:
        text = "The bars have not been weighed twice about a week apart."
        return (Reason("too_few_weighings", text, "Weigh the same bars again."),)
    found = []
    age = (facts.today - last).days
    if age > FRESH_WEIGHING_DAYS:
        found.append(Reason("old_weighing", f"The last weighing is {age} days old.", "Weigh the marked bars again."))
    if week_loss >= facts.weekly_loss_limit_percent:
        limit = f"{facts.weekly_loss_limit_percent.normalize():f}"
        text = f"The bars still lose {week_loss:.1f} % a week; steady means under {limit} %."
        found.append(Reason("still_losing", text, "Weigh again in a week."))
    return tuple(found)


def _check_reasons(facts: CureFacts) -> tuple[Reason, ...]:
    """At least one check must be entered; a tongue touch is a note and does not count."""
    if any(check.method != ZAP for check in facts.checks) or facts.cut_on is None:
        return ()
    text = "No check is entered." if not facts.checks else "A tongue touch is a note, not a check."
    return (Reason("no_check", text, "Enter how the bars look, a pH or a titration."),)


def _alkali_reasons(facts: CureFacts, alkali: AlkaliDecision, *, holds: bool) -> tuple[Reason, ...]:
    """Tests that hold the batch, or (holds False) what the person who releases should know; silent before the cut."""
    grave = {AlkaliLevel.HOLD, AlkaliLevel.REJECT, AlkaliLevel.STOP}
    found = [finding for finding in alkali.findings if (finding.level in grave) == holds]
    if not holds and not facts.checks:
        return ()
    return tuple(Reason(finding.code, finding.text, finding.mend, blocks=holds) for finding in found)
