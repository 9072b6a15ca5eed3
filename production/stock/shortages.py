"""What runs short before which pour: needs by day, held against what is on the shelf and in date on that day.

Needs are served first day first, each from what goes out of date first. Amounts are grams, or pieces of a part; one
sum never mixes the two.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal


@dataclass(frozen=True)
class Supply:
    """Some of one thing on the shelf, usable up to and including ``good_until``; None keeps on."""

    key: int
    amount: Decimal
    good_until: date | None = None


@dataclass(frozen=True)
class Need:
    """What one batch takes of one thing on the day it is poured."""

    key: int
    amount: Decimal
    on: date
    batch: str


@dataclass(frozen=True)
class Shortage:
    """What is missing in all, and the first pour that it stops."""

    key: int
    amount: Decimal
    on: date
    batch: str
    batches: tuple[str, ...]

    def order_by(self, lead_days: int | None) -> date | None:
        """Return the last day to order, or None while nobody knows how long the supplier takes."""
        return None if lead_days is None else self.on - timedelta(days=lead_days)


def shortages(supplies: Iterable[Supply], needs: Iterable[Need]) -> dict[int, Shortage]:
    """Return what runs short, by key; a thing that suffices is not in it."""
    shelf: defaultdict[int, list[Supply]] = defaultdict(list)
    for supply in supplies:
        shelf[supply.key].append(supply)
    for own in shelf.values():
        own.sort(key=lambda supply: supply.good_until or date.max)
    found: dict[int, Shortage] = {}
    for need in sorted(needs, key=lambda need: (need.on, need.batch)):
        missing = _take(shelf[need.key], need)
        if missing:
            found[need.key] = _added(found.get(need.key), need, missing)
    return found


def _take(shelf: list[Supply], need: Need) -> Decimal:
    """Take a need from the shelf and return what could not be had."""
    missing = need.amount
    for place, supply in enumerate(shelf):
        if not missing:
            break
        if supply.good_until is not None and supply.good_until < need.on:
            continue
        taken = min(supply.amount, missing)
        missing -= taken
        shelf[place] = replace(supply, amount=supply.amount - taken)
    return missing


def _added(so_far: Shortage | None, need: Need, missing: Decimal) -> Shortage:
    if so_far is None:
        return Shortage(need.key, missing, need.on, need.batch, (need.batch,))
    batches = tuple(dict.fromkeys((*so_far.batches, need.batch)))
    return replace(so_far, amount=so_far.amount + missing, batches=batches)
