"""What a person must know about a formula that could be reckoned."""

from formulas.chemistry.findings_lye import judge_liquid_effects, judge_lye
from formulas.chemistry.findings_parts import judge_parts
from formulas.chemistry.findings_superfat import judge_superfat
from formulas.chemistry.mixing import Mix
from formulas.chemistry.records import FormulaSpec
from formulas.chemistry.results import Finding, FormulaResult

RANK = {"stop": 0, "ask": 1, "note": 2}


def judge_result(spec: FormulaSpec, mix: Mix, result: FormulaResult) -> tuple[Finding, ...]:
    """Return all findings, the gravest first."""
    found = (
        *judge_superfat(spec, mix, result),
        *judge_lye(mix, result),
        *judge_liquid_effects(mix, result),
        *judge_parts(spec, result),
    )
    return tuple(sorted(found, key=lambda finding: RANK[finding.level]))
