"""A formula's result as a sheet for people: aligned columns, units in every line."""

from collections.abc import Iterator
from decimal import Decimal

from formulas.chemistry.records import FormulaSpec
from formulas.chemistry.results import Finding, FormulaResult

LABEL_WIDTH = 40
FIGURE_WIDTH = 12
LEVEL_WORDS = {"stop": "STOP", "ask": "ASK", "note": "NOTE"}


def formula_sheet_text(result: FormulaResult, spec: FormulaSpec | None = None) -> str:
    """Return the sheet. ``spec`` adds the lines that were given, the oils and additions."""
    lines = [result.name or "Formula", ""]
    if spec is not None:
        lines += [*_given(spec), ""]
    lines += [*_lye(result), "", *_superfat(result), "", *_batch(result)]
    if result.findings:
        lines += ["", *(line for finding in result.findings for line in _finding(finding))]
    return "\n".join(line.rstrip() for line in lines)


def finding_text(finding: Finding) -> str:
    return " ".join(part for part in (finding.text, finding.mend) if part)


def _row(label: str, figure: Decimal | None, unit: str, places: int) -> str:
    shown = "not known" if figure is None else f"{figure:,.{places}f}"
    return f"  {label:<{LABEL_WIDTH}}{shown:>{FIGURE_WIDTH}}  {'' if figure is None else unit}"


def _given(spec: FormulaSpec) -> Iterator[str]:
    yield "Oils"
    for fat in spec.fats:
        yield _row(fat.name, fat.grams, "g", 3)
    if spec.additives:
        yield "Additions"
        for additive in spec.additives:
            yield _row(additive.name, additive.grams, "g", 3)


def _lye(result: FormulaResult) -> Iterator[str]:
    yield "Lye, as weighed"
    for kind, grams in (
        ("Sodium hydroxide (NaOH)", result.naoh_grams),
        ("Potassium hydroxide (KOH)", result.koh_grams),
    ):
        if grams is None or grams:
            yield _row(kind, grams, "g", 3)
    if result.stock_solution_grams:
        yield _row("of it as lye mixed ahead, solution", result.stock_solution_grams, "g", 3)
    for name, grams in result.liquids or (("Water", result.water_grams),):
        yield _row(name, grams, "g", 3)
    yield _row("Lye concentration", result.lye_concentration_percent, "%", 2)
    yield _row("Water to lye", result.liquid_to_lye, "to 1", 3)
    yield _row("Water, of the oils", result.liquid_percent_of_oils, "%", 2)


def _superfat(result: FormulaResult) -> Iterator[str]:
    yield "Superfat, of the lye that the fats could take up"
    for label, name in (
        ("Planned", "planned"),
        ("Lowest, if every figure is at its worst", "lowest"),
        ("Highest", "highest"),
        ("Smallest plan that cannot be lye-heavy", "smallest_safe_plan"),
        ("Likely lowest", "likely_lowest"),
        ("Likely highest", "likely_highest"),
    ):
        yield _row(label, None if result.superfat is None else getattr(result.superfat, name), "%", 2)


def _batch(result: FormulaResult) -> Iterator[str]:
    yield "Batch"
    yield _row("Whole batch", result.batch_grams, "g", 3)
    yield _row("Water in it", result.water_percent_of_batch, "%", 2)
    yield _row("Glycerin formed", result.glycerin_grams, "g", 2)
    yield _row("Soap formed", result.soap_grams, "g", 2)
    yield _row("Iodine value of the oils", result.iodine_value, "g/100 g", 1)
    yield _row("Density of the batter at 40 °C", result.batter_density_g_per_ml, "g/ml", 3)


def _finding(finding: Finding) -> Iterator[str]:
    yield f"{LEVEL_WORDS[finding.level]:<5} {finding.text}"
    if finding.mend:
        yield f"      {finding.mend}"
