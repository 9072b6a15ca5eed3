"""Fragrance allergens that a label must name: ``allergens.csv``."""

import re
from collections.abc import Mapping
from pathlib import Path

from formulas.reference.rows import AllergenRow
from formulas.reference.tables import Line, Source, keyed_lines

ALLERGEN_COLUMNS = (
    "entry name is_group covered_names cas_numbers material_type is_prohibited list eu_new_products_from "
    "eu_existing_products_until canada_from gb_status us_status rinse_off_limit_percent leave_on_limit_percent "
    "most_percent purity_condition confidence source source_place note"
)


def read_allergens(folder: Path, sources: Mapping[str, Source]) -> list[AllergenRow]:
    lines = keyed_lines(folder, "allergens.csv", ALLERGEN_COLUMNS, key_column="entry")
    return [_allergen(entry, line, sources) for entry, line in lines.items()]


def _allergen(entry: str, line: Line, sources: Mapping[str, Source]) -> AllergenRow:
    line.choice("list", ("older", "newer", "prohibited"))
    for number in line.words("cas_numbers"):
        if not is_cas_number(number):
            raise line.refusal(
                f"“{number}” is not a CAS number.", "Look for a digit typed wrong: its last one must check."
            )
    words = line.source("source", sources).words
    place = line.text("source_place")
    return AllergenRow(
        entry=entry,
        name=line.needed("name"),
        covered_names=line.text("covered_names"),
        cas_numbers=line.text("cas_numbers"),
        is_prohibited=line.is_yes("is_prohibited"),
        source=f"{words}; {place}" if place else words,
    )


def is_cas_number(text: str) -> bool:
    """A CAS number ends in a check digit: the other digits, counted from the right, times their place, modulo 10."""
    parts = re.fullmatch(r"(\d{2,7})-(\d\d)-(\d)", text)
    if parts is None:
        return False
    digits = (parts[1] + parts[2])[::-1]
    return sum(place * int(digit) for place, digit in enumerate(digits, start=1)) % 10 == int(parts[3])
