"""Which bars go to which order line: due first, oldest released first, finish must match, never more than there are.

Bars still in cure count once they are ready in time. Bars made for one line (a name or date on them) serve no other.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from typing import TypeVar

from production.bar_ledger import PLAIN


class AllocationError(ValueError):
    """The bars cannot be given out as asked; the message is for people."""


@dataclass(frozen=True)
class BarLot:
    """Free bars of one batch, design and finish. `ready_on` is the release day, or the expected one while in cure.

    Days for labels, packing and post are the caller's: a want is due on the day its bars must be ready.
    """

    batch: str
    design: str
    bars: int
    ready_on: date
    finish: str = PLAIN
    is_released: bool = True
    use_by: date | None = None
    only_for_line: str = ""


@dataclass(frozen=True)
class Want:
    """Bars one order line still needs, by the day they must be ready."""

    line: str
    design: str
    bars: int
    due_on: date
    finish: str = PLAIN


@dataclass(frozen=True)
class Given:
    """Bars given to a line. Late bars are of the right kind but ready after the day they are due."""

    line: str
    batch: str
    finish: str
    bars: int
    is_released: bool
    ready_on: date
    is_late: bool = False


@dataclass(frozen=True)
class Short:
    line: str
    finish: str
    bars: int
    text: str


@dataclass(frozen=True)
class Allocation:
    """`free` holds what no line took, in the order of the lots."""

    given: tuple[Given, ...]
    short: tuple[Short, ...]
    free: tuple[BarLot, ...]

    def bars_for(self, line: str) -> int:
        return sum(given.bars for given in self.given if given.line == line)

    def free_bars(self, design: str, finish: str = PLAIN) -> int:
        """Released bars of this kind that may be sold today."""
        return sum(
            lot.bars
            for lot in self.free
            if (lot.design, lot.finish) == (design, finish) and lot.is_released and not lot.only_for_line
        )


Kind = TypeVar("Kind", BarLot, Want)


def allocate(lots: Iterable[BarLot], wants: Iterable[Want]) -> Allocation:
    """Give out bars. A first round keeps every day it can; a second gives late bars rather than none."""
    shelf = sorted(_checked(tuple(lots)), key=_oldest_first)
    queue = sorted(_checked(tuple(wants)), key=lambda want: (want.due_on, want.line, want.finish))
    left = [lot.bars for lot in shelf]
    missing = [want.bars for want in queue]
    given: list[Given] = []
    for on_time in (True, False):
        for place, want in enumerate(queue):
            for index in _fitting(shelf, want, on_time=on_time):
                bars = min(left[index], missing[place])
                if bars:
                    left[index] -= bars
                    missing[place] -= bars
                    given.append(_given(shelf[index], want, bars, is_late=not on_time))
    free = tuple(replace(lot, bars=bars) for lot, bars in zip(shelf, left, strict=True) if bars)
    short = tuple(_short(want, bars, free) for want, bars in zip(queue, missing, strict=True) if bars)
    return Allocation(tuple(given), short, free)


def _checked(items: tuple[Kind, ...]) -> tuple[Kind, ...]:
    if any(item.bars < 0 for item in items):
        raise AllocationError("A number of bars is below zero. Count the bars again.")
    return items


def _oldest_first(lot: BarLot) -> tuple[bool, bool, date, str]:
    """Bars made for one line first (nobody else can use them), then released bars by age, then bars in cure."""
    return (not lot.only_for_line, not lot.is_released, lot.ready_on, lot.batch)


def _fitting(shelf: list[BarLot], want: Want, *, on_time: bool) -> Iterable[int]:
    for index, lot in enumerate(shelf):
        fits = (lot.design, lot.finish) == (want.design, want.finish)
        is_allowed = lot.only_for_line in ("", want.line)
        keeps = lot.use_by is None or lot.use_by >= want.due_on
        if fits and is_allowed and keeps and (lot.ready_on <= want.due_on) == on_time:
            yield index


def _given(lot: BarLot, want: Want, bars: int, *, is_late: bool) -> Given:
    return Given(want.line, lot.batch, lot.finish, bars, lot.is_released, lot.ready_on, is_late)


def _short(want: Want, bars: int, free: tuple[BarLot, ...]) -> Short:
    noun = "bar is" if bars == 1 else "bars are"
    others = sorted({lot.finish for lot in free if lot.design == want.design and lot.finish != want.finish})
    mend = f"Free in another finish: {', '.join(others)}." if others else "Plan a batch or agree on part delivery."
    return Short(want.line, want.finish, bars, f"{bars} {noun} missing. {mend}")
