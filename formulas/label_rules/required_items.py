"""What must be on the label or on file, market by market.

What cannot be decided here is asked, and the answer is kept with who gave it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal

from formulas.label_rules.problems import Problem
from formulas.label_rules.rows import LabelRuleError, rows_in_force

Need = Literal["yes", "ask", "wise"]


@dataclass(frozen=True)
class RequiredItem:
    key: str
    title: str
    need: Need
    place: str
    mend: str
    status: str
    source: str


@dataclass(frozen=True)
class Decision:
    """A person's answer to what the rules leave open."""

    answer: str
    decided_by: str
    decided_on: date


def required_items(market: str, on_date: date) -> tuple[RequiredItem, ...]:
    rows = [row for row in rows_in_force("required_items", on_date) if row["market"] == market]
    if not rows:
        raise LabelRuleError(f"No label rules for “{market}” are in force on {on_date}. Choose another market or day.")
    return tuple(
        RequiredItem(row["key"], row["title"], row["need"], row["place"], row["mend"], row["status"], row["source"])  # type: ignore[arg-type]
        for row in rows
    )


def missing_items(
    market: str, *, filled: Mapping[str, str], decisions: Mapping[str, Decision], on_date: date
) -> tuple[Problem, ...]:
    """Return a problem for each required item that is empty and each open question that nobody answered."""
    problems = []
    for item in required_items(market, on_date):
        if filled.get(item.key, "").strip():
            continue
        if item.need == "yes":
            text = f"The label has no {item.title}." if item.place != "file" else f"There is no {item.title} on file."
            problems.append(Problem("stop", f"missing_{item.key}", text, item.mend))
        elif item.need == "ask" and not _is_answered(decisions.get(item.key)):
            problems.append(Problem("ask", f"undecided_{item.key}", f"Not decided yet: {item.title}.", item.mend))
        elif item.need == "wise":
            problems.append(Problem("note", f"without_{item.key}", f"The label has no {item.title}.", item.mend))
    return tuple(problems)


def _is_answered(decision: Decision | None) -> bool:
    return decision is not None and bool(decision.answer.strip()) and bool(decision.decided_by.strip())
