"""What a saleable bar truly costs: materials at landed prices, parts, packaging, bench time, overhead, losses."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from soapshop.money import allocate

ML_PER_US_FLUID_OUNCE = Decimal("29.5735295625")  # exact: NIST Handbook 44, appendix C


class FreightRule(StrEnum):
    VALUE = "value"
    WEIGHT = "weight"


class CostRefused(ValueError):
    """A cost cannot be worked out; the message says what is missing and the mend."""


@dataclass(frozen=True)
class Delivered:
    """One thing on a delivery, for sharing the freight."""

    name: str
    price: Decimal
    grams: Decimal


@dataclass(frozen=True)
class MaterialUse:
    """What one batch takes of a material. ``price_per_gram`` None: no lot with a price."""

    name: str
    grams: Decimal
    price_per_gram: Decimal | None


@dataclass(frozen=True)
class PartUse:
    name: str
    pieces: int
    price_per_piece: Decimal | None
    minutes_per_piece: Decimal = Decimal(0)


@dataclass(frozen=True)
class WorkTime:
    batch_minutes: Decimal
    bar_minutes: Decimal
    hourly_rate: Decimal


@dataclass(frozen=True)
class CostInputs:
    """One pot: what goes in and how many bars can be sold out of it, spares and losses left out."""

    materials: tuple[MaterialUse, ...]
    parts: tuple[PartUse, ...]
    bars_made: int
    bars_sold: int
    packaging_per_bar: Decimal
    work: WorkTime
    overhead_percent: Decimal  # of materials, parts and packaging


@dataclass(frozen=True)
class CostLine:
    name: str
    amount: Decimal
    per_bar: Decimal
    words: str = ""


@dataclass(frozen=True)
class CostSheet:
    """Unrounded: amounts are rounded where they are shown."""

    lines: tuple[CostLine, ...]
    bars_sold: int
    minutes: Decimal
    work_amount: Decimal
    unpriced: tuple[str, ...]
    materials_amount: Decimal = Decimal(0)

    @property
    def total(self) -> Decimal:
        return sum((line.amount for line in self.lines), Decimal(0))

    @property
    def per_bar(self) -> Decimal:
        return self.total / self.bars_sold

    @property
    def is_complete(self) -> bool:
        return not self.unpriced


@dataclass(frozen=True)
class Margin:
    per_bar: Decimal
    percent_of_price: Decimal | None
    pay_per_hour: Decimal | None


def share_freight(
    freight: Decimal, goods: Sequence[Delivered], *, rule: FreightRule, currency: str
) -> tuple[Decimal, ...]:
    """Share a freight bill over what came with it, by value or by weight; the parts add up to the bill."""
    weights = tuple(thing.price if rule == FreightRule.VALUE else thing.grams for thing in goods)
    if not weights or sum(weights) <= 0:
        wanted = "prices" if rule == FreightRule.VALUE else "weights"
        raise CostRefused(f"The freight cannot be shared: no {wanted} are known. Type them first.")
    return allocate(freight, weights, currency=currency)


def landed_price_per_gram(price: Decimal, freight: Decimal, grams: Decimal) -> Decimal:
    if grams <= 0:
        raise CostRefused("A pack holds more than nothing. Type its weight.")
    return (price + freight) / grams


def price_per_gram_by_volume(price: Decimal, *, ml: Decimal, density_g_per_ml: Decimal) -> Decimal:
    """Return the price of a gram of what is bought by the bottle: a fluid ounce of oil weighs less than an ounce."""
    return landed_price_per_gram(price, Decimal(0), ml * density_g_per_ml)


def cost_sheet(given: CostInputs) -> CostSheet:
    """Work out one pot. Everything that went in is carried by the bars that can be sold."""
    if given.bars_sold <= 0:
        raise CostRefused("No bar of this pot can be sold, so there is no cost a bar. Check losses and spares.")
    materials = [
        (use.name, use.grams * (use.price_per_gram or 0), f"{use.grams.quantize(Decimal('0.1')):f} g")
        for use in given.materials
    ]
    parts = [(use.name, use.pieces * (use.price_per_piece or Decimal()), f"{use.pieces} pieces") for use in given.parts]
    packaging = given.packaging_per_bar * given.bars_sold
    stuff = sum((amount for _, amount, _ in [*materials, *parts]), packaging)
    minutes = (
        given.work.batch_minutes
        + given.work.bar_minutes * given.bars_made
        + sum((use.minutes_per_piece * use.pieces for use in given.parts), Decimal(0))
    )
    work = minutes * given.work.hourly_rate / 60
    rows: list[tuple[str, Decimal, str]] = [
        *materials,
        *parts,
        ("Packaging", packaging, f"{given.bars_sold} bars"),
        ("Overhead", stuff * given.overhead_percent / 100, f"{_plain(given.overhead_percent)} % of the above"),
        ("Bench time", work, f"{minutes.quantize(Decimal(1)):f} min"),
    ]
    lines = tuple(CostLine(name, amount, amount / given.bars_sold, words) for name, amount, words in rows)
    unpriced = [use.name for use in given.materials if use.price_per_gram is None and use.grams > 0]
    unpriced += [use.name for use in given.parts if use.price_per_piece is None and use.pieces]
    weighed = sum((amount for _, amount, _ in materials), Decimal(0))
    return CostSheet(lines, given.bars_sold, minutes, work, tuple(unpriced), weighed)


def margin_at(price_net: Decimal, sheet: CostSheet) -> Margin:
    """Return what a price leaves: margin a bar, and what an hour at the bench is paid when the margin is added."""
    per_bar = price_net - sheet.per_bar
    hours = sheet.minutes / 60
    for_work = per_bar * sheet.bars_sold + sheet.work_amount
    return Margin(
        per_bar=per_bar,
        percent_of_price=per_bar * 100 / price_net if price_net > 0 else None,
        pay_per_hour=for_work / hours if hours > 0 else None,
    )


@dataclass(frozen=True)
class CrossCheck:
    """A price held against rules of thumb: times the full cost, times what goes into the bar. None: not known."""

    of_full_cost: Decimal | None
    of_materials: Decimal | None


def cross_check(price_net: Decimal, sheet: CostSheet) -> CrossCheck:
    materials = sheet.materials_amount / sheet.bars_sold
    return CrossCheck(
        of_full_cost=price_net / sheet.per_bar if sheet.per_bar > 0 else None,
        of_materials=price_net / materials if materials > 0 else None,
    )


def _plain(number: Decimal) -> str:
    return f"{number.normalize():f}"
