"""Labels and lists as plain figures, for the command line and for other programs."""

from decimal import Decimal
from typing import Any

from formulas.label_rules.problems import Problem
from production.labels.declared import BatchLabels, FinishLabel
from production.labels.judging import in_order


def finish_figures(labels: BatchLabels, finish: FinishLabel) -> dict[str, Any]:
    """The list of one finish with its working: numbers as numbers, rounded to a milligram and a ten-thousandth."""
    declaration = finish.declaration
    figures: dict[str, Any] = {
        "finish": finish.key,
        "name": finish.name,
        "bars": finish.bars,
        "market": labels.market,
        "style": labels.style,
        "basis": labels.basis,
        "refusal": finish.refusal,
        "problems": [problem_figures(problem) for problem in finish_problems(finish)],
    }
    if declaration is None:
        return figures
    balance = declaration.balance
    return figures | {
        "heading": declaration.heading,
        "text": declaration.text,
        "rules": f"{declaration.rule_set.title}: {declaration.rule_set.source}",
        "basis_grams": _rounded(declaration.basis_grams, 3),
        "entries": [
            {
                "name": entry.name,
                "grams": _rounded(entry.grams, 3),
                "percent": _rounded(entry.percent, 4),
                "group": entry.group,
                "rule": entry.rule,
                "materials": list(entry.materials),
            }
            for entry in declaration.entries
        ],
        "allergens": [
            {
                "name": line.name,
                "percent": _rounded(line.percent, 4),
                "threshold_percent": _rounded(line.threshold_percent, 4),
                "is_declared": line.is_declared,
                "sources": list(line.sources),
                "basis": line.basis,
            }
            for line in declaration.allergens
        ],
        "balance": {
            "in_grams": _rounded(balance.in_grams, 3),
            "out_grams": _rounded(balance.out_grams, 3),
            "residual_grams": _rounded(balance.residual_grams, 3),
        },
    }


def finish_problems(finish: FinishLabel) -> tuple[Problem, ...]:
    refused = (Problem("stop", "no_list", finish.refusal, ""),) if finish.refusal else ()
    declared = finish.declaration.problems if finish.declaration else ()
    return in_order((*refused, *finish.problems, *declared))


def problem_figures(problem: Problem) -> dict[str, str]:
    return {"level": problem.level, "code": problem.code, "text": problem.text, "mend": problem.mend}


def _rounded(figure: Decimal, places: int) -> float:
    """For reading only: nothing is computed from it again."""
    return float(round(figure, places))
