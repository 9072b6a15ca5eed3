"""Single figures of label law, by name and day: shares, heights, limits, years."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from formulas.label_rules.rows import LabelRuleError, number, rows_in_force


@dataclass(frozen=True)
class Figure:
    amount: Decimal
    unit: str
    status: str
    source: str


def figure(key: str, on_date: date) -> Figure:
    """Return the figure in force on the day; the row that began last wins."""
    rows = [row for row in rows_in_force("figures", on_date) if row["key"] == key]
    if not rows:
        raise LabelRuleError(f"No rule named “{key}” is in force on {on_date}. Choose a later day.")
    row = max(rows, key=lambda r: r["effective_from"])
    return Figure(number(row["amount"]), row["unit"], row["status"], row["source"])


def amount(key: str, on_date: date) -> Decimal:
    return figure(key, on_date).amount
