"""Answers that were given before, set against the questions of today."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from formulas.label_rules.problems import Problem
from production.batches.models import Batch
from production.labels.models import LabelAnswer

DECIDED, STANDS = "Decided by ", "It stands "
LEFT_OFF = ("list_off_the_label", "second_sticker")

Answers = Mapping[tuple[int, str, str], LabelAnswer]


def answers_of(batches: Iterable[Batch]) -> Answers:
    """The newest answer to each question of these designs, by design, market and question: one query."""
    found: dict[tuple[int, str, str], LabelAnswer] = {}
    designs = {batch.design_id for batch in batches}
    for answer in LabelAnswer.objects.filter(design_id__in=designs).select_related("decided_by"):
        found.setdefault((answer.design_id, answer.market, answer.question), answer)
    return found


def settled(problems: Iterable[Problem], *, design_id: int, market: str, answers: Answers) -> list[Problem]:
    """Turn each question that was answered, word for word as it stands, into a note that says who decided what."""
    return [
        _settled(problem, answers.get((design_id, market, problem.code))) if problem.level == "ask" else problem
        for problem in problems
    ]


def placed(problems: Iterable[Problem], elsewhere: str) -> list[Problem]:
    """Turn what this label leaves off into a note, once it is said where it stands."""
    if not elsewhere:
        return list(problems)
    return [
        replace(problem, level="note", mend=f"{STANDS}{elsewhere}.") if problem.code in LEFT_OFF else problem
        for problem in problems
    ]


def is_decided(problem: Problem) -> bool:
    """Whether a person has answered this question."""
    return problem.level == "note" and problem.mend.startswith((DECIDED, STANDS))


def _settled(problem: Problem, answer: LabelAnswer | None) -> Problem:
    if answer is None or answer.asked != problem.text:
        return problem
    who = answer.decided_by.display_name if answer.decided_by else "the workshop"
    day = f"{answer.decided_at:%b} {answer.decided_at.day}, {answer.decided_at:%Y}"
    return replace(problem, level="note", mend=f"{DECIDED}{who} on {day}: “{answer.answer}”")
