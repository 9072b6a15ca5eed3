"""One CSV table of reference data, line by line. A cell that cannot be right is refused by file, line and column."""

import csv
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from pathlib import Path

KEY = re.compile(r"[a-z0-9_]+")
# How a figure came about, from the strongest to the weakest.
STATUSES = ("seen", "seen; part computed", "partly seen", "computed", "from memory", "common practice")


class ReferenceDataError(ValueError):
    """A table of reference data cannot be used; the message names file and line, and is for people."""


@dataclass(frozen=True)
class Source:
    code: str
    title: str
    year: str
    address: str
    how_seen: str

    @property
    def words(self) -> str:
        return f"{self.title}, {self.year}" if self.year and self.year != "n.d." else self.title


@dataclass(frozen=True)
class Line:
    """One line of a table. An empty cell is unknown (None), never zero."""

    file: str
    number: int
    cells: Mapping[str, str]

    def refusal(self, what: str, mend: str) -> ReferenceDataError:
        return ReferenceDataError(f"{self.file}, line {self.number}: {what} {mend}")

    def text(self, column: str) -> str:
        return " ".join(self.cells[column].split())

    def needed(self, column: str) -> str:
        if not self.text(column):
            raise self.refusal(f"“{column}” is empty.", "Fill it in.")
        return self.text(column)

    def key(self) -> str:
        if not KEY.fullmatch(self.cells["key"]):
            raise self.refusal(
                f"“{self.cells['key']}” cannot be a key.",
                "Use small letters, figures and underscores, such as palm_kernel.",
            )
        return self.cells["key"]

    def choice(self, column: str, allowed: Iterable[str]) -> str:
        allowed = tuple(allowed)
        if self.text(column) not in allowed:
            words = ", ".join(word or "(empty)" for word in allowed)
            raise self.refusal(f"“{self.text(column)}” is not known in “{column}”.", f"Use one of: {words}.")
        return self.text(column)

    def is_yes(self, column: str) -> bool:
        return self.choice(column, ("yes", "no")) == "yes"

    def words(self, column: str) -> tuple[str, ...]:
        return tuple(word.strip() for word in self.cells[column].split(";") if word.strip())

    def number_or_none(self, column: str, *, least: Decimal, most: Decimal, hint: str = "") -> Decimal | None:
        text = self.text(column)
        if not text:
            return None
        try:
            number = Decimal(text)
        except InvalidOperation:
            number = Decimal("NaN")
        if not number.is_finite():
            raise self.refusal(f"“{text}” in “{column}” is not a number.", "Type one such as 12.5, or leave it empty.")
        if not least <= number <= most:
            mend = f"It must lie between {least} and {most}."
            raise self.refusal(f"“{column}” is {text}.", f"{mend} {hint}".strip())
        return number

    def percent(self, column: str) -> Decimal | None:
        return self.number_or_none(column, least=Decimal(0), most=Decimal(100))

    def span(
        self, stem: str, *, least: Decimal, most: Decimal, hint: str = ""
    ) -> tuple[Decimal | None, Decimal | None]:
        """Return the cells ``stem_low`` and ``stem_high``, which must rise."""
        low = self.number_or_none(f"{stem}_low", least=least, most=most, hint=hint)
        high = self.number_or_none(f"{stem}_high", least=least, most=most, hint=hint)
        if low is not None and high is not None and low > high:
            raise self.refusal(f"“{stem}” runs from {low} down to {high}.", "Put the lower figure first.")
        return low, high

    def source(self, column: str, sources: Mapping[str, Source]) -> Source:
        code = self.needed(column)
        if code not in sources:
            raise self.refusal(f"The source “{code}” is not in sources.csv.", "Add it there, or correct the code.")
        return sources[code]

    def source_or_none(self, column: str, sources: Mapping[str, Source]) -> Source | None:
        return self.source(column, sources) if self.text(column) else None

    def status(self, column: str = "status") -> str:
        return self.choice(column, STATUSES)


def lines_of(folder: Path, file: str, columns: str) -> list[Line]:
    """Return the lines of one table. ``columns`` names the columns it must have, in any order, apart by spaces."""
    wanted = columns.split()
    try:
        with (folder / file).open(encoding="utf-8", newline="") as opened:
            reader = csv.reader(opened, strict=True)
            head = next(reader, [])
            _judge_head(file, head, wanted)
            return [_line(file, reader.line_num, head, cells) for cells in reader if cells]
    except FileNotFoundError:
        raise ReferenceDataError(f"{file} is missing in {folder}. Put the table back.") from None
    except (UnicodeDecodeError, csv.Error) as refusal:
        raise ReferenceDataError(f"{file} cannot be read as a table ({refusal}). Save it as CSV in UTF-8.") from None


def keyed_lines(folder: Path, file: str, columns: str, *, key_column: str = "key") -> dict[str, Line]:
    """Return the lines by their key; a key stands once in a table."""
    found: dict[str, Line] = {}
    for line in lines_of(folder, file, columns):
        key = line.key() if key_column == "key" else line.needed(key_column)
        if key in found:
            raise line.refusal(f"“{key}” stands on line {found[key].number} already.", "Keep one of the two.")
        found[key] = line
    return found


def read_sources(folder: Path) -> dict[str, Source]:
    lines = keyed_lines(folder, "sources.csv", "code title year address how_seen", key_column="code")
    return {
        code: Source(code, line.needed("title"), line.text("year"), line.text("address"), line.needed("how_seen"))
        for code, line in lines.items()
    }


def _judge_head(file: str, head: list[str], wanted: list[str]) -> None:
    missing = [column for column in wanted if column not in head]
    extra = [column for column in head if column not in wanted]
    if missing:
        raise ReferenceDataError(f"{file}, line 1: the column “{missing[0]}” is missing. Put it back.")
    if extra or len(set(head)) != len(head):
        name = extra[0] if extra else "one of the columns"
        raise ReferenceDataError(f"{file}, line 1: “{name}” is not expected here. Take it out, or mend its spelling.")


def _line(file: str, number: int, head: list[str], cells: list[str]) -> Line:
    line = Line(file, number, dict(zip(head, cells, strict=False)))
    if len(cells) != len(head):
        raise line.refusal(
            f"It has {len(cells)} cells where the head has {len(head)}.",
            "Look for a comma too many or a missing quote.",
        )
    return line
