"""Read the packaged tables: text rows, exact numbers, and the row that is in force on a day."""

import csv
from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal, InvalidOperation
from functools import lru_cache
from pathlib import Path

TABLES = Path(__file__).parent / "tables"
Row = Mapping[str, str]


class LabelRuleError(ValueError):
    """A label rule that cannot be looked up or applied; the message is for people."""


@lru_cache(maxsize=32)
def rows_of(table: str) -> tuple[Row, ...]:
    """Return every row of one packaged table, as text."""
    with (TABLES / f"{table}.csv").open(encoding="utf-8", newline="") as lines:
        return tuple(csv.DictReader(lines))


def number_or_none(text: str) -> Decimal | None:
    try:
        return Decimal(text) if text else None
    except InvalidOperation as refusal:
        raise LabelRuleError(f"“{text}” in a label table is not a number. Correct the table.") from refusal


def number(text: str) -> Decimal:
    found = number_or_none(text)
    if found is None:
        raise LabelRuleError("A number is missing in a label table. Correct the table.")
    return found


def day_or_none(text: str) -> date | None:
    return date.fromisoformat(text) if text else None


def list_of(text: str) -> tuple[str, ...]:
    """Split a cell that holds several names."""
    return tuple(part.strip() for part in text.split(";") if part.strip())


def is_in_force(row: Row, on_date: date) -> bool:
    """An empty first day means: in force before these tables begin."""
    starts, ends = day_or_none(row["effective_from"]), day_or_none(row.get("effective_until", ""))
    return (starts is None or starts <= on_date) and (ends is None or on_date <= ends)


def rows_in_force(table: str, on_date: date) -> tuple[Row, ...]:
    return tuple(row for row in rows_of(table) if is_in_force(row, on_date))


def row_for_size(rows: Iterable[Row], size: Decimal, *, above: str, up_to: str) -> Row:
    """Return the row whose step holds the size: more than `above`, at most `up_to` (an empty cell has no end)."""
    for row in rows:
        end = number_or_none(row[up_to])
        if size > number(row[above]) and (end is None or size <= end):
            return row
    raise LabelRuleError(f"No rule covers a size of {size}. Check the figure; it must be above zero.")
