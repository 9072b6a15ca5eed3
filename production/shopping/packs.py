"""How many packs cover what is missing. Rules only."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal


@dataclass(frozen=True)
class Pack:
    grams: Decimal
    price: Decimal | None = None


@dataclass(frozen=True)
class Bought:
    """So many of one pack."""

    pack: Pack
    count: int

    @property
    def grams(self) -> Decimal:
        return self.pack.grams * self.count

    @property
    def price(self) -> Decimal | None:
        return None if self.pack.price is None else self.pack.price * self.count


def packs_for(missing_grams: Decimal, packs: Iterable[Pack]) -> Bought | None:
    """Return the one pack, taken so many times, that covers what is missing: the cheapest, else the least left over.

    A pack without a price stands behind those with one. None where nothing is on offer.
    """
    choices = [Bought(pack, _count(missing_grams, pack)) for pack in packs]
    return min(choices, key=_cost, default=None)


def _count(missing_grams: Decimal, pack: Pack) -> int:
    return max(int((missing_grams / pack.grams).to_integral_value(rounding=ROUND_CEILING)), 1)


def _cost(bought: Bought) -> tuple[bool, Decimal, Decimal, int]:
    price = bought.price
    return price is None, Decimal(0) if price is None else price, bought.grams, bought.count
