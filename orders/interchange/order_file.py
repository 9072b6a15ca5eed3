"""The order book as CSV (RFC 4180) and orders read from one, judged line by line. Pure: no rows of a database."""

import csv
import io
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation

COLUMNS = (
    "order",
    "customer",
    "email",
    "occasion",
    "event",
    "needed_by",
    "stage",
    "design",
    "bars",
    "price_per_bar",
    "wording",
    "packaging",
)
READ_COLUMNS = tuple(name for name in COLUMNS if name not in ("stage",))
NEEDED = ("order", "customer", "needed_by", "design", "bars")
# A spreadsheet takes a cell that begins so for a formula and works it out.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
LIKELY_EMAIL = re.compile(r"[^@\s,;<>]+@[^@\s,;<>]+\.[^@\s,;<>]+")
MOST_ROWS = 2000
MOST_LETTERS = 2_000_000
MOST_BARS = 5000


class OrderFileRefused(Exception):
    """A file that cannot be read at all; the message says why and the mend."""


@dataclass(frozen=True)
class FileRow:
    """One line of the file: one order line. Rows with the same ``order`` are one order."""

    line: int
    order: str
    customer: str
    email: str
    occasion: str
    event: date | None
    needed_by: date
    design: str
    bars: int
    price_per_bar: Decimal | None
    wording: str
    packaging: str


@dataclass(frozen=True)
class FileFault:
    line: int
    column: str
    text: str


@dataclass(frozen=True)
class ReadFile:
    rows: tuple[FileRow, ...]
    faults: tuple[FileFault, ...]


def guarded(cell: str) -> str:
    """Put an apostrophe before what a spreadsheet would take for a formula."""
    return f"'{cell}" if cell.startswith(FORMULA_STARTS) else cell


def unguarded(cell: str) -> str:
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(FORMULA_STARTS) else cell


def csv_text(rows: Iterable[Sequence[str]]) -> str:
    """Return a file with the columns of the order book; every cell is guarded."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    writer.writerows([guarded(cell) for cell in row] for row in rows)
    return out.getvalue()


def decoded(content: bytes) -> str:
    """Return the text of a file in UTF-8, with or without the mark that spreadsheets put in front."""
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise OrderFileRefused("This file is not in UTF-8. Save it as “CSV UTF-8” and choose it again.") from None


def read_orders(text: str, *, designs: Iterable[str]) -> ReadFile:
    """Read and judge every line; a line number counts as a spreadsheet does, the heading is line 1."""
    if len(text) > MOST_LETTERS:
        raise OrderFileRefused("This file is too large. Split it into files of at most 2,000 lines.")
    reader = csv.reader(io.StringIO(text.replace("\x00", ""), newline=""), strict=True)
    rows: list[FileRow] = []
    faults: list[FileFault] = []
    try:
        heading = [name.strip().lower() for name in next(reader, [])]
        _judge_heading(heading)
        known = {name.casefold(): name for name in designs}
        for cells in reader:
            if not any(cell.strip() for cell in cells):
                continue
            if len(rows) + len({fault.line for fault in faults}) >= MOST_ROWS:
                raise OrderFileRefused("This file has more than 2,000 lines. Split it into smaller files.")
            row, found = _row(reader.line_num, dict(zip(heading, cells, strict=False)), known)
            faults += found
            rows += [row] if row else []
    except csv.Error as fault:
        raise OrderFileRefused(f"Line {reader.line_num} cannot be read: a quotation mark is not closed.") from fault
    if not rows and not faults:
        raise OrderFileRefused("This file has a heading and no orders. Add a line for each order line.")
    return ReadFile(tuple(rows), (*faults, *_unlike(rows)))


def _judge_heading(heading: list[str]) -> None:
    missing = [name for name in NEEDED if name not in heading]
    if missing:
        raise OrderFileRefused(
            f"The first line must name the columns; missing: {', '.join(missing)}. "
            f"Columns that are read: {', '.join(READ_COLUMNS)}."
        )
    twice = sorted({name for name in heading if name and heading.count(name) > 1})
    if twice:
        raise OrderFileRefused(f"The column {twice[0]} stands twice in the first line. Take one out.")


def _row(line: int, cells: dict[str, str], designs: dict[str, str]) -> tuple[FileRow | None, list[FileFault]]:
    given = {name: unguarded(cells.get(name, "").strip()) for name in READ_COLUMNS}
    faults = [FileFault(line, name, "This is needed. Fill it in.") for name in NEEDED if not given[name]]
    event, needed = _day(line, "event", given, faults), _day(line, "needed_by", given, faults)
    bars = _bars(line, given["bars"], faults)
    price = _price(line, given["price_per_bar"], faults)
    design = designs.get(given["design"].casefold())
    if given["design"] and design is None:
        faults.append(
            FileFault(
                line, "design", f"There is no design “{given['design'][:60]}”. Correct the name, or draw it first."
            )
        )
    for name, most in (("customer", 120), ("occasion", 120), ("wording", 120), ("packaging", 120), ("email", 254)):
        if len(given[name]) > most:
            faults.append(FileFault(line, name, f"At most {most} letters fit here. Shorten it."))
    if given["email"] and not LIKELY_EMAIL.fullmatch(given["email"]):
        faults.append(FileFault(line, "email", "This is not an e-mail address. Write it as name@place.example."))
    if faults or needed is None or bars is None or design is None:
        return None, faults
    words = {name: given[name] for name in ("order", "customer", "email", "occasion", "wording", "packaging")}
    return FileRow(line=line, event=event, needed_by=needed, design=design, bars=bars, price_per_bar=price, **words), []


def _day(line: int, column: str, given: dict[str, str], faults: list[FileFault]) -> date | None:
    typed = given[column]
    if not typed:
        return None
    try:
        day = date.fromisoformat(typed) if len(typed) == len("2026-05-12") else None
    except ValueError:
        day = None
    if day is None or not 2000 <= day.year <= 2200:
        faults.append(FileFault(line, column, f"“{typed[:30]}” is not a day. Write it as 2026-05-12."))
        return None
    return day


def _bars(line: int, typed: str, faults: list[FileFault]) -> int | None:
    if not typed:
        return None
    if typed.isascii() and typed.isdigit() and len(typed) <= 6 and 1 <= int(typed) <= MOST_BARS:
        return int(typed)
    faults.append(
        FileFault(line, "bars", f"“{typed[:30]}” is not a count of bars. Write a whole number from 1 to 5000.")
    )
    return None


def _price(line: int, typed: str, faults: list[FileFault]) -> Decimal | None:
    if not typed:
        return None
    try:
        price = Decimal(typed)
        if price.is_finite() and 0 <= price <= 10_000 and price == price.quantize(Decimal("0.01")):
            return price.quantize(Decimal("0.01"))
    except InvalidOperation:
        pass
    faults.append(FileFault(line, "price_per_bar", f"“{typed[:30]}” is not a price. Write it as 7.50."))
    return None


def _unlike(rows: Sequence[FileRow]) -> list[FileFault]:
    """Find rows of one order that name different customers or days."""
    first: dict[str, FileRow] = {}
    faults = []
    for row in rows:
        head = first.setdefault(row.order, row)
        for column in ("customer", "email", "occasion", "event", "needed_by"):
            if getattr(row, column) != getattr(head, column):
                text = f"Order {row.order[:30]} says something else on line {head.line}. Make both lines alike."
                faults.append(FileFault(row.line, column, text))
    return faults
