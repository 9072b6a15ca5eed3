"""The sheet both sides agree to, as a frozen record, and what differs between two versions of it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from formulas.drawing import DrawnBar
from soapshop.money import format_money


@dataclass(frozen=True)
class SheetJug:
    letter: str
    name: str
    color_hex: str
    width: Decimal = Decimal(1)


@dataclass(frozen=True)
class SheetLayer:
    """One layer of the cut face; the first lies at the bottom."""

    height: Decimal
    jugs: tuple[SheetJug, ...]


@dataclass(frozen=True)
class SheetLine:
    position: int
    design: str
    formula: str
    revision: int | None
    bars: int
    price_per_bar: Decimal
    amount: Decimal
    finishes: tuple[tuple[str, int], ...] = ()
    wording: str = ""
    packaging: str = ""
    scent: str = ""
    layers: tuple[SheetLayer, ...] = ()  # all there is to draw from on sheets of before the drawing was kept
    drawing: DrawnBar | None = None

    @property
    def has_parts(self) -> bool:
        return any(name != "plain" for name, _ in self.finishes)


@dataclass(frozen=True)
class SheetFee:
    name: str
    amount: Decimal


@dataclass(frozen=True)
class OrderSheet:
    number: str
    customer: str
    occasion: str
    event_date: date | None
    needed_by: date
    promised_date: date | None
    hand_over: str
    travel_days: int
    lines: tuple[SheetLine, ...]
    fees: tuple[SheetFee, ...]
    discount: Decimal
    discount_words: str
    net: Decimal
    tax: Decimal
    tax_name: str
    tax_percent: Decimal
    is_tax_inside: bool
    total: Decimal
    deposit: Decimal
    balance: Decimal
    currency: str
    valid_until: date | None = None
    deposit_due_on: date | None = None
    balance_due_on: date | None = None
    change_until: date | None = None
    made_without: tuple[str, ...] = ()  # the customer's whole list, when none of it goes in
    room_words: str = ""  # said beside it: what else is made in the room
    on_your_list: tuple[str, ...] = ()  # what stands on the list and goes in all the same

    @property
    def bars(self) -> int:
        return sum(line.bars for line in self.lines)


# What is compared, and how it is called.
TERMS = (
    ("customer", "customer"),
    ("occasion", "occasion"),
    ("event_date", "event"),
    ("needed_by", "needed in hand by"),
    ("promised_date", "promised for"),
    ("hand_over", "hand-over"),
    ("travel_days", "days on the way"),
    ("discount", "discount"),
    ("made_without", "made without"),
    ("on_your_list", "on the list and in it"),
    ("tax_name", "tax"),
    ("tax_percent", "tax rate"),
    ("total", "total"),
    ("deposit", "deposit"),
)
LINE_TERMS = (
    ("formula", "formula"),
    ("revision", "revision"),
    ("bars", "bars"),
    ("price_per_bar", "price a bar"),
    ("finishes", "parts"),
    ("wording", "wording"),
    ("packaging", "packaging"),
    ("scent", "scent"),
    ("drawing", "drawing"),
)
MONEY = ("discount", "total", "deposit", "price_per_bar")


def changes(before: OrderSheet, after: OrderSheet) -> tuple[str, ...]:
    """Return each difference as a sentence: "Two Tides: bars 36 → 40". Nothing differs: nothing is returned."""
    return tuple(_changes(before, after))


def _changes(before: OrderSheet, after: OrderSheet) -> Iterator[str]:
    for name, words in TERMS:
        if (sentence := _difference(name, words, before, after)) is not None:
            yield sentence
    old, new = _by_line(before), _by_line(after)
    for key, line in old.items():
        if key not in new:
            yield f"{line.design}: taken out, {line.bars} bars"
            continue
        for name, words in LINE_TERMS:
            if (sentence := _difference(name, words, line, new[key], currency=after.currency)) is not None:
                yield f"{line.design}: {sentence}"
    yield from (f"{line.design}: added, {line.bars} bars" for key, line in new.items() if key not in old)
    fees = {fee.name: fee.amount for fee in before.fees}
    for fee in after.fees:
        if (was := fees.pop(fee.name, Decimal(0))) != fee.amount:
            yield f"{fee.name}: {_money(was, after.currency)} → {_money(fee.amount, after.currency)}"
    yield from (f"{name}: {_money(amount, before.currency)} → none" for name, amount in fees.items())


def _by_line(sheet: OrderSheet) -> dict[tuple[str, int], SheetLine]:
    """Key lines by design; a second line of the same design counts as its own."""
    found: dict[tuple[str, int], SheetLine] = {}
    for line in sheet.lines:
        again = sum(1 for design, _ in found if design == line.design)
        found[(line.design, again)] = line
    return found


def _difference(name: str, words: str, before: object, after: object, *, currency: str = "") -> str | None:
    was, now = getattr(before, name), getattr(after, name)
    if name == "drawing":
        return None if _looks_alike(before, after) else "the drawing was changed"
    if was == now:
        return None
    if name in MONEY:
        code = currency or after.currency  # type: ignore[attr-defined]
        return f"{words} {_money(was, code)} → {_money(now, code)}"
    return f"{words} {_said(was)} → {_said(now)}"


def _looks_alike(before: object, after: object) -> bool:
    """Compare what a person would call the drawing; an older sheet kept its layers alone."""
    if not isinstance(before, SheetLine) or not isinstance(after, SheetLine):
        return True
    if before.drawing is None or after.drawing is None:
        return before.layers == after.layers
    return before.drawing.look == after.drawing.look


def _said(figure: object) -> str:
    if figure in (None, "", ()):
        return "none"
    if isinstance(figure, date):
        return f"{figure:%b} {figure.day}, {figure.year}"
    if isinstance(figure, tuple):
        return ", ".join(item if isinstance(item, str) else f"{item[1]} {item[0]}" for item in figure)
    if isinstance(figure, Decimal):
        return f"{figure.normalize():f} %"
    return str(figure)


def _money(amount: Decimal, currency: str) -> str:
    return format_money(amount, currency=currency)
