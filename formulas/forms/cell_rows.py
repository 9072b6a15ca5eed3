"""The boxes of the cells on the page: what a new one begins with, and what a saved layer comes back as."""

from collections.abc import Iterable
from typing import Any

from django.http import QueryDict

from formulas.color_records import color_boxes_of
from formulas.models import Portion
from soapshop.units import plain

# Soft tones to begin a drawing with, so that new jugs can be told apart.
STARTING_TONES = ("#e8dfc8", "#b9c4a3", "#c98f6b", "#7f93a8", "#d9b8bd", "#6d5a50", "#d6b24c", "#94785f")


def fresh_cell(number: int) -> dict[str, Any]:
    """Return what a new cell begins with; ``number`` counts the cells of the design so far."""
    tone = STARTING_TONES[number % len(STARTING_TONES)]
    return {"width": 1, "tone": tone, "is_scented": True, "trace": "light", "is_fresh": True}


def type_fresh_cell(typed: QueryDict, prefix: str, place: int, number: int) -> None:
    """Write the beginning of a new cell into what was typed, as if the page had shown it."""
    for box, begins in fresh_cell(number).items():
        typed[f"{prefix}-{place}-{box}"] = "on" if begins is True else str(begins)


def cell_initial(portions: Iterable[Portion], shown: set[str]) -> list[dict[str, Any]]:
    """Return the boxes of the cells of a saved layer; a jug shown already comes back as its letter and width."""
    rows = []
    for portion in portions:
        if portion.letter in shown:
            rows.append(
                {"letter": portion.letter, "width": plain(portion.width_share), "tone": portion.color_hex}
                | {"is_scented": portion.is_scented, "trace": portion.trace}
                | _place(portion)
            )
            continue
        shown.add(portion.letter)
        row = {
            "letter": portion.letter,
            "name": portion.name,
            "width": plain(portion.width_share),
            "tone": portion.color_hex,
            "pour_order": portion.pour_order,
            "trace": portion.trace,
            "is_scented": portion.is_scented,
            "accent": plain(portion.accent_percent) if portion.accent_percent else None,
            "note": portion.note,
            "carrier": portion.carrier_oil.name if portion.carrier_oil else "",
            "wets": plain(portion.carrier_per_gram) if portion.carrier_oil else None,
            "is_carrier_extra": portion.is_carrier_extra,
            "wet": portion.wet_liquid.name if portion.wet_liquid else "",
            "wet_percent": plain(portion.wet_percent) if portion.wet_liquid else None,
        } | _place(portion)
        for number, (name, percent) in enumerate(color_boxes_of(portion)):
            row[f"color_{number}"] = name
            row[f"dose_{number}"] = plain(percent)
        rows.append(row)
    return rows


def _place(portion: Portion) -> dict[str, Any]:
    return {"lies": portion.lies, "share": plain(portion.share_percent) if portion.share_percent else None}
