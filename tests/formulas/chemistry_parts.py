"""Parts that the chemistry tests build formulas from: recipe R, and short ways to write a fat."""

import csv
from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

from formulas.chemistry.compute import compute_formula
from formulas.chemistry.records import (
    Alkali,
    Fat,
    FormulaResult,
    FormulaSpec,
    Liquid,
    LiquidRule,
    Spread,
    SuperfatInterval,
)

TABLES = Path(__file__).parent / "tables"
OUNCE = Decimal("28.3495")


def table(name: str) -> list[dict[str, str]]:
    with (TABLES / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def dec(text: str | int) -> Decimal:
    return Decimal(str(text))


def fat(name: str, grams: str, low: str, high: str, **more: Any) -> Fat:
    return Fat(name, dec(grams), Spread.between(dec(low), dec(high)), **more)


def fat_by_factor(name: str, grams: str | Decimal, naoh_g_per_g: str) -> Fat:
    """Return a fat whose SAP is given as grams of NaOH per gram, as the cases do."""
    sap = Decimal(naoh_g_per_g) * Decimal("56105.6") / Decimal("39.9971")
    return Fat(name, Decimal(grams), Spread.exactly(sap), sap_is_certificate=True)


# Recipe R: SAP ranges from Codex CXS 210 and a published olive oil range, densities from the 1922 Soap-Making Manual
# and Codex, brought to 40 C.
RECIPE_R = FormulaSpec(
    name="Recipe R",
    superfat_fraction=dec("0.05"),
    fats=(
        fat("Olive oil", "400", "187", "196", density_g_per_ml=dec("0.899")),
        fat("Coconut oil", "300", "248", "265", density_g_per_ml=dec("0.9125")),
        fat("Palm oil", "300", "190", "209", density_g_per_ml=dec("0.903")),
    ),
    alkalis=(Alkali("NaOH", purity_fraction=Spread(dec("0.97"), dec("0.98"), dec("0.99"))),),
    liquid_rule=LiquidRule("lye_concentration", dec(33)),
)
# Goat milk: USDA SR18 (2005); its fat with the middle of the butterfat range, 220 to 233.
GOAT_MILK = Liquid(
    "Goat milk",
    water_fraction=dec("0.8703"),
    fat_fraction=dec("0.0414"),
    fat_sap_koh_mg_per_g=Spread.exactly(dec("226.5")),
)
PURE_NAOH = (Alkali("NaOH"),)


def pure_naoh(grams: str | Decimal) -> tuple[Alkali, ...]:
    return (Alkali("NaOH", grams=Decimal(grams)),)


def recipe_r(**changes: Any) -> FormulaResult:
    return compute_formula(replace(RECIPE_R, **changes))


def superfat_of(result: FormulaResult) -> SuperfatInterval:
    """Return the interval of a formula that could be reckoned."""
    assert result.superfat is not None
    return result.superfat


def codes(result: FormulaResult, level: str | None = None) -> list[str]:
    return [finding.code for finding in result.findings if level in (None, finding.level)]


def composition(row: Mapping[str, str]) -> dict[str, Decimal]:
    return {name: Decimal(percent) for name, percent in row.items() if name.startswith("C")}
