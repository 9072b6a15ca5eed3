"""Colorants: ``colorants.csv``."""

import re
from collections.abc import Mapping
from pathlib import Path

from formulas.reference.additives import read_dose, teaspoon
from formulas.reference.rows import MaterialRow, joined_notes, may_be_note
from formulas.reference.tables import Line, Source, keyed_lines

COLORANT_COLUMNS = (
    "key name aliases us_listed_name us_section us_bar_soap us_certified_lots color_index color_hex label_name_us "
    "label_name_eu dose_low dose_high dose_basis when_added grams_per_teaspoon grams_per_teaspoon_status avoid_groups "
    "may_be_groups status source note"
)


def read_colorants(folder: Path, sources: Mapping[str, Source]) -> list[MaterialRow]:
    lines = keyed_lines(folder, "colorants.csv", COLORANT_COLUMNS)
    return [_colorant(line, sources) for line in lines.values()]


def _colorant(line: Line, sources: Mapping[str, Source]) -> MaterialRow:
    _judge(line)
    dose = read_dose(line)
    return MaterialRow(
        key=line.key(),
        name=line.needed("name"),
        kind="colorant",
        aliases=line.words("aliases"),
        dose_low_percent=dose.low_percent,
        dose_high_percent=dose.high_percent,
        dose_basis=dose.basis,
        grams_per_teaspoon=teaspoon(line),
        when_added=dose.when_added,
        label_name_us=line.text("label_name_us"),
        label_name_eu=line.text("label_name_eu"),
        color_index=line.text("color_index"),
        color_hex=line.text("color_hex"),
        us_color_listing=line.text("us_listed_name"),
        avoid_groups=(*line.words("avoid_groups"), *line.words("may_be_groups")),
        source=line.source("source", sources).words,
        source_status=line.status(),
        note=joined_notes(line.text("note"), may_be_note(line.words("may_be_groups"))),
    )


def _judge(line: Line) -> None:
    if not re.fullmatch(r"#[0-9a-f]{6}", line.text("color_hex")):
        raise line.refusal(f"“{line.text('color_hex')}” is not a color.", "Write # and six figures, such as #c9a227.")
    for number in line.words("color_index"):
        if not re.fullmatch(r"CI \d{5}(:\d)?", number):
            raise line.refusal(
                f"“{number}” is not a color index number.", "Write CI and five figures, such as CI 77891."
            )
    listed = bool(line.text("us_listed_name"))
    line.choice("us_bar_soap", ("yes", "limit", "no") if listed else ("",))
    line.choice("us_certified_lots", ("yes", "no") if listed else ("",))
