"""Names for labels: ``soap_names.csv``, one line for each material that has them."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from formulas.reference.rows import MaterialRow
from formulas.reference.tables import Line, Source, keyed_lines

NAME_COLUMNS = (
    "key label_name_us label_name_eu label_name_status sodium_name sodium_status potassium_name potassium_status "
    "other_spelling confidence source note"
)
NAME_STATUSES = ("seen", "seen as a rule", "partly seen", "from memory", "")


def with_label_names(
    folder: Path, materials: Mapping[str, MaterialRow], sources: Mapping[str, Source]
) -> dict[str, MaterialRow]:
    """Return the materials with their names. Nothing here counts as confirmed: that is for a person to do."""
    named = dict(materials)
    for key, line in keyed_lines(folder, "soap_names.csv", NAME_COLUMNS).items():
        if key not in named:
            raise line.refusal(f"There is no material “{key}”.", "Add it to its table, or correct the key.")
        line.source("source", sources)
        _judge_statuses(line)
        named[key] = replace(
            named[key],
            label_name_us=line.text("label_name_us"),
            label_name_eu=line.text("label_name_eu"),
            soap_name_sodium=line.text("sodium_name"),
            soap_name_potassium=line.text("potassium_name"),
        )
    return named


def _judge_statuses(line: Line) -> None:
    pairs = (
        ("label_name_us", "label_name_status"),
        ("sodium_name", "sodium_status"),
        ("potassium_name", "potassium_status"),
    )
    for name, status in pairs:
        line.choice(status, NAME_STATUSES)
        if bool(line.text(name)) != bool(line.text(status)):
            raise line.refusal(f"“{name}” and “{status}” do not go together.", "Fill in both or neither.")
