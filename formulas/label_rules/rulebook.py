"""The dated tables an ingredient list is made by, gathered in one frozen record."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import lru_cache
from typing import Literal

from formulas.label_rules.allergens import (
    AllergenDates,
    AllergenRule,
    packaged_allergen_dates,
    packaged_allergens,
)
from formulas.label_rules.colors import ColorListing, packaged_colors
from formulas.label_rules.rows import LabelRuleError, day_or_none, number, rows_of


@dataclass(frozen=True)
class RuleSet:
    """The dated rules a list is made by. `effective_from` None: in force before these tables begin."""

    market: str
    title: str
    effective_from: date | None
    low_percent: Decimal  # at or below this an ingredient may stand in any order
    has_low_edge: bool  # exactly the low percent counts as low
    name_column: Literal["us", "eu", "ca"]
    color_column: Literal["us", "ci"]
    source: str


@dataclass(frozen=True)
class LabelTables:
    """Take the packaged tables, or the same with rows of the workshop's own."""

    rule_sets: tuple[RuleSet, ...]
    words: Mapping[tuple[str, str], str]  # (key, name column) → word
    allergens: tuple[AllergenRule, ...]
    allergen_dates: tuple[AllergenDates, ...]
    colors: tuple[ColorListing, ...]

    def rule_set(self, market: str, on_date: date) -> RuleSet:
        """Return the newest rules of a market that are in force on the day."""
        begun = [
            rules
            for rules in self.rule_sets
            if rules.market == market and (rules.effective_from is None or rules.effective_from <= on_date)
        ]
        if not begun:
            raise LabelRuleError(f"No label rules for “{market}” are in force on {on_date}. Choose a later day.")
        return max(begun, key=lambda rules: rules.effective_from or date.min)

    def dates_for(self, market: str, list_name: str) -> AllergenDates | None:
        return next((d for d in self.allergen_dates if d.market == market and d.list_name == list_name), None)


def _rule_sets() -> tuple[RuleSet, ...]:
    return tuple(
        RuleSet(
            market=row["market"],
            title=row["title"],
            effective_from=day_or_none(row["effective_from"]),
            low_percent=number(row["low_percent"]),
            has_low_edge=row["has_low_edge"] == "yes",
            name_column=row["name_column"],  # type: ignore[arg-type]
            color_column=row["color_column"],  # type: ignore[arg-type]
            source=row["source"],
        )
        for row in rows_of("rule_sets")
    )


@lru_cache(maxsize=1)
def packaged_tables() -> LabelTables:
    """Return the tables that come with the application."""
    return LabelTables(
        rule_sets=_rule_sets(),
        words={(row["key"], column): row[column] for row in rows_of("words") for column in ("us", "eu", "ca")},
        allergens=packaged_allergens(),
        allergen_dates=packaged_allergen_dates(),
        colors=packaged_colors(),
    )
