"""What a workshop can make in a month, by what limits it first: bench time, molds, or the places on the rack.

A rack full of bars is no capacity by itself: each place is taken for the whole cure.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum

DAYS_A_WEEK = 7


class Limit(StrEnum):
    BENCH = "bench time"
    MOLDS = "the molds"
    RACK = "the rack"


@dataclass(frozen=True)
class Making:
    """How bars of one kind are made: bars a pour gives, its minutes, and the days it keeps the molds and the rack."""

    bars_a_pour: int
    minutes_a_pour: int
    tenths_a_bar: int
    mold_days: int
    cure_days: int


@dataclass(frozen=True)
class MonthRoom:
    """The days of a month somebody works: how many, their minutes, and the pours that can be done on them."""

    first: date
    open_days: int
    minutes: int
    pours: int


@dataclass(frozen=True)
class Capacity:
    bars: int
    limit: Limit


def bars_a_week(rack_bars: int, cure_days: int) -> int:
    """Bars a week a rack can take for good, rounded to whole bars."""
    each = Decimal(rack_bars * DAYS_A_WEEK) / max(cure_days, 1)
    return int(each.to_integral_value(rounding=ROUND_HALF_UP))


def month_capacity(room: MonthRoom, making: Making, *, rack_bars: int) -> Capacity:
    """Return the bars that can be made in this month, and what stands in the way of more."""
    days = days_in_month(room.first)
    minutes = making.minutes_a_pour * 10 + making.tenths_a_bar * making.bars_a_pour
    by_bench = min(room.minutes * 10 // max(minutes, 1), room.pours) * making.bars_a_pour
    # The molds are free again on the day they are cut.
    by_molds = min(room.open_days, days // max(making.mold_days, 1)) * making.bars_a_pour
    by_rack = rack_bars * days // max(making.cure_days, 1)
    found = ((by_bench, Limit.BENCH), (by_molds, Limit.MOLDS), (by_rack, Limit.RACK))
    return Capacity(*min(found, key=lambda each: each[0]))


def days_in_month(first: date) -> int:
    return (next_month(first) - first).days


def next_month(first: date) -> date:
    return (first.replace(day=1) + timedelta(days=32)).replace(day=1)
