"""Count back from the day the bars are needed: hand-over, packing, labels, release, cure, pour and what comes before.

Plain and exact for one order line; the days are dates in the workshop's own time zone. Cure counts calendar days
from the pour. Steps that need a person fall on open days; the cure runs on while the workshop is closed.
"""

from datetime import date, timedelta

from production.planning.answer import (
    Choice,
    Countback,
    CountbackError,
    CountbackInput,
    PartLead,
    PlanWarning,
    count_text,
    day_text,
)
from production.planning.choices import choices_left
from production.planning.days import first_pour, last_pour, milestones_back, plan_back, plan_forward
from production.planning.layout import Milestones, PlannedStep, lay_out
from production.planning.route import RouteStep, check_route
from production.planning.warnings import plan_warnings

__all__ = [
    "Choice",
    "Countback",
    "CountbackError",
    "CountbackInput",
    "PartLead",
    "PlanWarning",
    "PlannedStep",
    "RouteStep",
    "count_back",
    "needed_in_hand",
]


def needed_in_hand(event_on: date, days_before_event: int = 7) -> date:
    """The day the bars should be in hand: one to three weeks before the event (common practice, no source)."""
    return event_on - timedelta(days=days_before_event)


def count_back(asked: CountbackInput) -> Countback:
    """Plan one line: on time from the last pour that serves, or honestly late from the first pour that can be."""
    _check(asked)
    release = milestones_back(asked)[0]
    pour_by = last_pour(asked, release, asked.cure_days)
    earliest = asked.poured_on or first_pour(asked, asked.cure_days)
    days = plan_forward(asked, earliest, asked.cure_days)
    is_late = _in_hand(asked, days) > asked.needed_by
    if not is_late and earliest <= pour_by:
        days = plan_back(asked, asked.poured_on or pour_by)
    in_hand = _in_hand(asked, days)
    steps = lay_out(asked.route, days, asked.calendar, today=asked.today, bars=asked.bars, done=asked.done)
    if asked.poured_on is not None:
        steps = tuple(step for step in steps if step.last_day > days.pour)
    return Countback(
        steps=steps,
        pour_by=pour_by,
        last_safe_pour=last_pour(asked, release, asked.least_cure_days),
        earliest_pour=earliest,
        pour_on=days.pour,
        change_by=days.pour - timedelta(days=asked.change_cutoff_days),
        ready_on=days.pour + timedelta(days=asked.cure_days),
        release_on=days.release,
        hand_over_on=days.hand_over,
        in_hand_on=in_hand,
        is_late=is_late,
        late_days=max(0, (in_hand - asked.needed_by).days),
        reason=_reason(asked, days, pour_by, in_hand, is_late=is_late),
        warnings=plan_warnings(asked, steps, pour_by=pour_by, release=release),
        choices=choices_left(asked, release=release, pour_on=earliest, honest=in_hand) if is_late else (),
    )


def _in_hand(asked: CountbackInput, days: Milestones) -> date:
    return days.hand_over + timedelta(days=asked.handover_days)


def _check(asked: CountbackInput) -> None:
    check_route(asked.route)
    figures = (
        asked.handover_days,
        asked.cure_days,
        asked.least_cure_days,
        asked.label_days,
        asked.pack_days,
        asked.bars,
        asked.stock_bars,
        asked.change_cutoff_days,
        *(part.lead_days for part in asked.parts),
    )
    if min(figures) < 0:
        raise CountbackError("A number of days or bars is below zero. Enter zero or more.")
    if asked.least_cure_days > asked.cure_days:
        raise CountbackError(
            f"The least cure of {asked.least_cure_days} days is longer than the cure of {asked.cure_days} days. "
            "Correct one of the two."
        )
    if asked.poured_on is not None and asked.poured_on > asked.today:
        raise CountbackError(f"The pour is dated {day_text(asked.poured_on)}, which is still to come. Correct its day.")


def _reason(asked: CountbackInput, days: Milestones, pour_by: date, in_hand: date, *, is_late: bool) -> str:
    cure = f"{count_text((days.release - days.pour).days, 'day')} of cure to {day_text(days.release)}"
    if not is_late:
        start = f"Poured on {day_text(days.pour)}" if asked.poured_on else f"Pour by {day_text(days.pour)}"
        return f"{start}: {cure}, handed over on {day_text(days.hand_over)}, in hand on {day_text(in_hand)}."
    late = count_text((in_hand - asked.needed_by).days, "day")
    start = "Poured" if asked.poured_on else "The earliest pour is"
    return (
        f"Needed on {day_text(asked.needed_by)}, so the last day to pour was {day_text(pour_by)}. "
        f"{start} on {day_text(days.pour)}: {cure}, in hand on {day_text(in_hand)}, {late} late."
    )
