from formulas.chemistry.mixing import Mix
from formulas.chemistry.records import FormulaSpec
from formulas.chemistry.results import Finding, FormulaResult


def judge_result(spec: FormulaSpec, mix: Mix, result: FormulaResult) -> tuple[Finding, ...]:
    return ()
