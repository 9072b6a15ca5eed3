"""The ingredient declaration: frozen records in, the list with its working out. No Django, no clock, no database."""

from formulas.declaration.build import build_declaration
from formulas.declaration.records import (
    AllergenLine,
    AllergenShare,
    Balance,
    BalanceLine,
    Declaration,
    DeclarationError,
    DeclarationInput,
    DeclaredInput,
    Entry,
    LabelNames,
)
from formulas.label_rules.problems import Problem

__all__ = [
    "AllergenLine",
    "AllergenShare",
    "Balance",
    "BalanceLine",
    "Declaration",
    "DeclarationError",
    "DeclarationInput",
    "DeclaredInput",
    "Entry",
    "LabelNames",
    "Problem",
    "build_declaration",
]
