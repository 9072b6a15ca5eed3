"""A formula's result as the documented JSON figures: numbers, not text; null where a figure cannot be known."""

from decimal import Context, Decimal, localcontext
from typing import Any

from formulas.chemistry.results import Finding, FormulaResult, SuperfatInterval

PLACES = Decimal("0.000001")  # a microgram; enough to add the parts up again
WIDE = Context(prec=60)
SUPERFAT_WORDS = (
    "planned",
    "lowest",
    "highest",
    "smallest_safe_plan",
    "standard_deviation",
    "likely_lowest",
    "likely_highest",
)


def formula_sheet_json(result: FormulaResult) -> dict[str, Any]:
    """Return the sheet. Alkali grams are as weighed; plain water stands in `water_grams` and among the liquids."""
    with localcontext(WIDE):
        return {
            "alkali": {"naoh_grams": _number(result.naoh_grams), "koh_grams": _number(result.koh_grams)},
            "stock_solution_grams": _number(result.stock_solution_grams),
            "water_grams": _number(result.water_grams),
            "liquids": [{"material": name, "grams": _number(grams)} for name, grams in result.liquids],
            "lye_concentration_percent": _number(result.lye_concentration_percent),
            "liquid_to_lye": _number(result.liquid_to_lye),
            "liquid_percent_of_oils": _number(result.liquid_percent_of_oils),
            "superfat_percent": _superfat(result.superfat),
            "batch_grams": _number(result.batch_grams),
            "water_percent_of_batch": _number(result.water_percent_of_batch),
            "glycerin_grams": _number(result.glycerin_grams),
            "soap_grams": _number(result.soap_grams),
            "iodine_value": _number(result.iodine_value),
            "batter_density_g_per_ml": _number(result.batter_density_g_per_ml),
            "findings": [_finding(finding) for finding in result.findings],
        }


def exit_status(result: FormulaResult) -> int:
    """Return 2 for what must be refused, else 0."""
    return 2 if result.stops else 0


def _number(figure: Decimal | None) -> float | None:
    return None if figure is None else float(figure.quantize(PLACES))


def _superfat(interval: SuperfatInterval | None) -> dict[str, float | None]:
    return {word: None if interval is None else _number(getattr(interval, word)) for word in SUPERFAT_WORDS}


def _finding(finding: Finding) -> dict[str, str]:
    return {"level": finding.level, "code": finding.code, "text": finding.text, "mend": finding.mend}
