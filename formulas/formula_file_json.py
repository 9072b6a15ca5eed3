"""JSON from outside, read with care: exact numbers, no NaN, no endless nesting; a slip is a finding, no exception."""

import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from typing import Any

from formulas.chemistry.records import Spread
from formulas.chemistry.results import Finding
from formulas.chemistry.wording import name_text, note, stop

LARGEST_FILE_BYTES = 1_000_000
LONGEST_TEXT = 200
MOST_DIGITS = 30
MOST_LINES = 200

Fields = dict[str, Any]


class _NotJson(ValueError):
    """Something that looks like JSON but is not; the message is for people."""


def parsed_json(text: str | bytes) -> tuple[Any, Finding | None]:
    """Return the parsed file, or None and the stop finding that says what is wrong with it."""
    if len(text) > LARGEST_FILE_BYTES:
        return None, stop("file-too-large", "This file is too large for a formula.", "Check that it is the right file.")
    try:
        decoded = text.decode("utf-8-sig") if isinstance(text, bytes) else text.removeprefix("\ufeff")
        return _parsed(decoded), None
    except UnicodeDecodeError:
        return None, stop("file-not-text", "This file is not plain UTF-8 text.", "Save it as a JSON text file.")
    except RecursionError:
        return None, stop("file-too-deep", "This file nests far too deep for a formula.", "Check where it comes from.")
    except _NotJson as slip:
        return None, stop("file-not-json", str(slip), "Correct it, then read the file again.")
    except json.JSONDecodeError as slip:
        where = f"line {slip.lineno}, column {slip.colno}"
        return None, stop("file-not-json", f"This is not JSON: something is wrong at {where}.", "Correct that place.")
    except (InvalidOperation, ValueError):
        return None, stop("file-not-json", "This file holds a number that cannot be read.", "Correct the number.")


def _parsed(text: str) -> Any:
    return json.loads(
        text,
        parse_float=Decimal,
        parse_int=Decimal,
        parse_constant=_refused_constant,
        object_pairs_hook=_without_doubles,
    )


def _refused_constant(word: str) -> Any:
    raise _NotJson(f"{word} is not a number.")


def _without_doubles(pairs: list[tuple[str, Any]]) -> Fields:
    fields = dict(pairs)
    if len(fields) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise _NotJson(f"“{name_text(twice)}” stands there twice in one place.")
    return fields


@dataclass
class Reading:
    """Typed access to the fields of a parsed file; what does not fit becomes a finding and reads as None."""

    findings: list[Finding] = field(default_factory=list)

    @property
    def is_refused(self) -> bool:
        return any(finding.level == "stop" for finding in self.findings)

    def refuse(self, code: str, text: str, mend: str) -> None:
        self.findings.append(stop(code, text, mend))

    def mapping(self, found: Any, where: str) -> Fields | None:
        if isinstance(found, dict):
            return found
        self.refuse("file-shape", f"{where} must be a group of named figures.", "Write it in braces: { … }.")
        return None

    def lines(self, fields: Fields, key: str) -> list[Fields]:
        """Return a list of groups; a missing list is empty."""
        found = fields.get(key)
        if found is None:
            return []
        if not isinstance(found, list):
            self.refuse("file-shape", f"“{key}” must be a list.", "Write it in square brackets: [ … ].")
            return []
        if len(found) > MOST_LINES:
            self.refuse("file-too-long", f"“{key}” has more than {MOST_LINES} lines.", "Check the file.")
            return []
        groups = (self.mapping(line, f"Line {place} of “{key}”") for place, line in enumerate(found, start=1))
        return [group for group in groups if group is not None]

    def text(self, fields: Fields, key: str, where: str) -> str | None:
        found = fields.get(key)
        if found is None:
            return None
        if isinstance(found, str) and found.strip() and found.isprintable() and len(found) <= LONGEST_TEXT:
            return found.strip()
        self.refuse("not-a-name", f"{where}: “{key}” must be a short text.", "Write a name in quotation marks.")
        return None

    def material(self, fields: Fields, what: str) -> str:
        """Return the name of the material in a line; a line without one is refused."""
        name = self.text(fields, "material", what)
        if name is None and fields.get("material") is None:
            self.refuse("material-missing", f"{what}: a line has no material.", 'Write "material" with its name.')
        return name or what

    def refuse_unknown(self, name: str, mend: str) -> None:
        self.refuse("material-unknown", f"{name_text(name)} is not in the material list and has no figures here.", mend)

    def truth(self, fields: Fields, key: str, where: str) -> bool | None:
        found = fields.get(key)
        if found is None or isinstance(found, bool):
            return found
        self.refuse("not-true-or-false", f"{where}: “{key}” must be true or false.", "Write true or false, bare.")
        return None

    def number(self, fields: Fields, key: str, where: str) -> Decimal | None:
        found = fields.get(key)
        return None if found is None else self._exact(found, f"{where}: “{key}”")

    def fraction(self, fields: Fields, key: str, where: str) -> Decimal | None:
        """Return a percentage as a fraction."""
        percent = self.number(fields, key, where)
        return None if percent is None else percent.scaleb(-2)

    def spread(self, fields: Fields, key: str, where: str) -> Spread | None:
        """Return [lowest, highest], [lowest, planned, highest] or one figure as a spread."""
        found = fields.get(key)
        if found is None:
            return None
        if not isinstance(found, list):
            figure = self._exact(found, f"{where}: “{key}”")
            return None if figure is None else Spread.exactly(figure)
        if len(found) not in (2, 3):
            self.refuse("not-a-range", f"{where}: “{key}” needs two figures.", "Write [lowest, highest].")
            return None
        figures = [self._exact(figure, f"{where}: “{key}”") for figure in found]
        known = [figure for figure in figures if figure is not None]
        if len(known) < len(figures):
            return None
        return Spread.between(known[0], known[1]) if len(known) == 2 else Spread(known[0], known[1], known[2])

    def _exact(self, found: Any, where: str) -> Decimal | None:
        if not isinstance(found, Decimal):
            shown = f"“{name_text(found)}”" if isinstance(found, str) else "no number"
            self.refuse(
                "not-a-number",
                f"{where} is {shown}.",
                "Write a bare number such as 12.5, without unit or quotation marks.",
            )
            return None
        if not found.is_finite() or len(found.as_tuple().digits) > MOST_DIGITS or abs(found.adjusted()) > MOST_DIGITS:
            self.refuse("absurd-number", f"{where} is not a figure from a workshop.", "Check the number.")
            return None
        return found

    def mention_unknown_keys(self, fields: Fields, known: Iterable[str], where: str) -> None:
        """Tell of fields that nobody reads; a misspelled name must not vanish silently."""
        unknown = [key for key in fields if key not in set(known)]
        if unknown:
            listed = ", ".join(f"“{name_text(key)}”" for key in unknown[:5])
            self.findings.append(
                note("unknown-field", f"{where}: {listed} is not read.", "Check the spelling, or leave it out.")
            )


def line_name(fields: Fields, what: str) -> str:
    """Return the name of a line for messages."""
    name = fields.get("material")
    return name_text(name) if isinstance(name, str) else what
