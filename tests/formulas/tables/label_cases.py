"""Worked label examples: label_checks.csv gives each one's words and source; the tests give its figures."""

import csv
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest

TABLE = Path(__file__).parent / "label_checks.csv"


@lru_cache(maxsize=1)
def label_checks() -> dict[str, dict[str, str]]:
    with TABLE.open(encoding="utf-8", newline="") as lines:
        return {row["id"]: row for row in csv.DictReader(lines)}


def case(check_id: str, *figures: Any) -> Any:
    """Return a test case whose id names its row in the table, where the source stands."""
    assert label_checks()[check_id]["source"], f"{check_id} has no source"
    return pytest.param(*figures, id=f"label-{check_id}")
