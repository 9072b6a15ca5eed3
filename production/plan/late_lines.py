"""Why lines are late in a plan and what would help, as facts that are kept with the plan: pages only read them."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from production.planning.lateness import CAME_LATE, INGREDIENT, reliefs, why_late
from production.planning.plan_json import as_json
from production.planning.plan_records import Plan, PlanInput
from production.planning.repair import batches_hit

Facts = dict[str, Any]


def late_facts(asked: PlanInput, plan: Plan) -> Facts:
    """Return the late lines with their reasons, and what one more of each scarce thing would change."""
    reasons = why_late(asked, plan)
    return {
        "lines": [as_json(each) for each in reasons],
        "reliefs": [as_json(each) for each in reliefs(asked, plan)] if reasons else [],
    }


def late_words(facts: Facts) -> list[Facts]:
    """Return each late line with its days and the reason in words."""
    reliefs = facts.get("reliefs", ())
    return [
        {"line": each["line"], "late_days": each["late_days"], "why": _why(each, reliefs)}
        for each in facts.get("lines", ())
    ]


def _why(reason: Facts, reliefs: Iterable[Facts]) -> str:
    day = date.fromisoformat(reason["earliest_on"]) if reason["earliest_on"] else None
    earliest = f"{day:%b} {day.day}, {day.year}" if day else ""
    if reason["kind"] == CAME_LATE:
        if not earliest:
            return "It came too late: there is no open day left for it in the days looked at."
        return f"It came too late: its cure and the days off allow no packing before {earliest}, even in an empty shop."
    if reason["kind"] == INGREDIENT:
        what = reason["ingredient"] or "its ingredients"
        return f"It waits for {what}: no packing before {earliest}." if earliest else f"It waits for {what}."
    helps = [each["what"] for each in reliefs if reason["line"] in each["in_time"]]
    alone = f"; alone it could be packed on {earliest}" if earliest else ""
    return f"Other batches are in its way{alone}. {_in_time_with(helps)}".strip()


def _in_time_with(helps: list[str]) -> str:
    return f"It would be in time with {' or '.join(helps[:2])}." if helps else ""


def relief_words(facts: Facts) -> list[str]:
    """Return what would help, the most first."""
    return [
        f"{each['what']} saves {each['saved_days']} late day{'' if each['saved_days'] == 1 else 's'}"
        for each in facts.get("reliefs", ())
        if each["saved_days"] > 0
    ]


def useless_words(facts: Facts) -> list[str]:
    """Return what cannot save a single late day, because a bound says so."""
    return [each["what"] for each in facts.get("reliefs", ()) if each["is_proven_useless"]]


def cannot_stay_words(asked: PlanInput) -> str:
    """Say which planned batches cannot all stay where they are, or nothing when they can."""
    hit = sorted(batches_hit(asked))
    if not hit:
        return ""
    return f"{', '.join(hit)} cannot stay beside the others: work out a plan, or move one by hand."
