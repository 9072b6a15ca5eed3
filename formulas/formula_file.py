"""Formula files: `soapshop-formula/1` in, a formula for the chemistry out, or findings that say what is wrong.

Figures in the file win over those of the material book. Nothing that a file can hold raises an exception.
"""

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from formulas.chemistry.compute import compute_formula
from formulas.chemistry.records import FormulaResult, FormulaSpec, LiquidRule, StockSolution
from formulas.chemistry.results import Finding
from formulas.formula_file_fats import read_fats
from formulas.formula_file_json import Fields, Reading, parsed_json
from formulas.formula_file_parts import read_additives, read_alkalis, read_liquids
from formulas.formula_sheet import formula_sheet_json
from formulas.material_book import Bookless, MaterialBook, MaterialFigures

__all__ = [
    "Bookless",
    "FormulaFile",
    "MaterialBook",
    "MaterialFigures",
    "compute_formula_file",
    "formula_sheet_json",
    "read_formula_file",
]

FORMAT = "soapshop-formula/1"
FILE_WORDS = (
    "format",
    "name",
    "superfat_percent",
    "oils",
    "oils_grams",
    "alkali",
    "liquid",
    "liquids",
    "stock_solution",
    "additives",
    "weighing_error_percent",
)


@dataclass(frozen=True)
class FormulaFile:
    """A file that was read. `spec` is None when a stop finding says why."""

    spec: FormulaSpec | None
    findings: tuple[Finding, ...]


def compute_formula_file(text: str | bytes, book: MaterialBook) -> FormulaResult:
    """Return the result of a formula file, with the findings of reading it and of reckoning it."""
    file = read_formula_file(text, book)
    if file.spec is None:
        return FormulaResult(name="", findings=file.findings)
    result = compute_formula(file.spec)
    return replace(result, findings=(*result.findings, *file.findings))


def read_formula_file(text: str | bytes, book: MaterialBook) -> FormulaFile:
    """Return the formula that a file describes."""
    parsed, refusal = parsed_json(text)
    if refusal is not None:
        return FormulaFile(None, (refusal,))
    reading = Reading()
    spec = _spec(reading, book, parsed)
    return FormulaFile(None if reading.is_refused else spec, tuple(reading.findings))


def _spec(reading: Reading, book: MaterialBook, parsed: Any) -> FormulaSpec | None:
    fields = reading.mapping(parsed, "A formula file")
    if fields is None:
        return None
    if fields.get("format") != FORMAT:
        reading.refuse(
            "file-format",
            "This is not a formula file that can be read here.",
            f'It must hold "format": "{FORMAT}".',
        )
        return None
    reading.mention_unknown_keys(fields, FILE_WORDS, "The file")
    name = reading.text(fields, "name", "The formula")
    superfat = reading.fraction(fields, "superfat_percent", "The formula")
    fats = read_fats(reading, book, fields)
    alkalis = read_alkalis(reading, book, fields)
    rule = _rule(reading, fields)
    liquids = read_liquids(reading, book, fields)
    additives = read_additives(reading, book, fields)
    stock = _stock(reading, fields)
    error = reading.fraction(fields, "weighing_error_percent", "The formula")
    if rule is None:
        return None
    return FormulaSpec(
        name=name or "Unnamed formula",
        superfat_fraction=superfat,
        fats=fats,
        alkalis=alkalis,
        liquid_rule=rule,
        liquids=liquids,
        additives=additives,
        stock_solution=stock,
        weighing_error_fraction=error or Decimal(0),
    )


def _rule(reading: Reading, fields: Fields) -> LiquidRule | None:
    """Return the liquid rule: one basis, one value. Two at once would contradict each other."""
    if fields.get("liquid") is None:
        reading.refuse(
            "liquid-missing",
            "The formula does not say how much liquid it takes.",
            'Write "liquid": {"basis": "lye_concentration", "value": 33}.',
        )
        return None
    liquid = reading.mapping(fields["liquid"], "“liquid” is one basis with one value; it")
    if liquid is None:
        return None
    reading.mention_unknown_keys(liquid, ("basis", "value"), "“liquid”")
    basis = reading.text(liquid, "basis", "“liquid”")
    value = reading.number(liquid, "value", "“liquid”")
    if basis is None or value is None:
        if not reading.is_refused:
            reading.refuse("liquid-missing", "“liquid” needs a basis and a value.", "Give both.")
        return None
    return LiquidRule(basis, value)  # type: ignore[arg-type]  # the gates refuse any other word


def _stock(reading: Reading, fields: Fields) -> StockSolution | None:
    if fields.get("stock_solution") is None:
        return None
    stock = reading.mapping(fields["stock_solution"], "“stock_solution”")
    if stock is None:
        return None
    reading.mention_unknown_keys(stock, ("kind", "strength_percent"), "“stock_solution”")
    kind = reading.text(stock, "kind", "“stock_solution”")
    strength = reading.fraction(stock, "strength_percent", "“stock_solution”")
    if kind is None or strength is None:
        if not reading.is_refused:
            reading.refuse("stock-missing", "“stock_solution” needs a kind and a strength.", "Give both.")
        return None
    return StockSolution(kind, strength)  # type: ignore[arg-type]  # the gates refuse any other word
