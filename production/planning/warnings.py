"""What a person should know about a plan before trusting it: days that have passed or were moved."""

from datetime import date, timedelta

from production.planning.answer import CountbackInput, PlanWarning, day_text
from production.planning.layout import PlannedStep


def plan_warnings(
    asked: CountbackInput, steps: tuple[PlannedStep, ...], *, pour_by: date, release: date
) -> tuple[PlanWarning, ...]:
    """Return the warnings of one plan, the gravest first."""
    found = [_needed_by_passed(asked), _pour_by_passed(asked, pour_by), _moved_pour(asked, pour_by, release)]
    found += [_step_passed(step) for step in steps if step.has_passed]
    return tuple(warning for warning in found if warning)


def _needed_by_passed(asked: CountbackInput) -> PlanWarning | None:
    if asked.needed_by >= asked.today:
        return None
    return PlanWarning(
        "needed_by_passed",
        f"The bars were needed on {day_text(asked.needed_by)}, which has passed.",
        "Agree on a new day with the customer.",
    )


def _pour_by_passed(asked: CountbackInput, pour_by: date) -> PlanWarning | None:
    if asked.poured_on is not None or asked.today <= pour_by:
        return None
    return PlanWarning(
        "pour_by_passed",
        f"The last day to pour for the full cure was {day_text(pour_by)}.",
        "Choose one of the ways that are left and tell the customer.",
    )


def _moved_pour(asked: CountbackInput, pour_by: date, release: date) -> PlanWarning | None:
    by_cure_alone = release - timedelta(days=asked.cure_days)
    if pour_by == by_cure_alone or asked.poured_on is not None:
        return None
    why = asked.calendar.why_closed(by_cure_alone)
    because = f"the workshop is {why}" if why else "a step that follows the pour would find no open day"
    return PlanWarning(
        "pour_moved",
        f"The cure alone would allow a pour on {day_text(by_cure_alone)}, but {because}.",
        f"Pour by {day_text(pour_by)}, or open that day.",
    )


def _step_passed(step: PlannedStep) -> PlanWarning:
    return PlanWarning(
        "step_passed",
        f"“{step.label}” should have been done by {day_text(step.last_day)}.",
        "Mark it as done, do it now, or leave it out knowingly.",
    )
