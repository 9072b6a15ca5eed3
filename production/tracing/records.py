"""What a trace finds, as frozen records for the page, the paper and the command. Rules only."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from production.bar_ledger import BarState

# In the order in which a person looks: first what is still here, then what is with somebody, then what is gone.
HERE = (
    BarState.IN_CURE,
    BarState.RELEASED,
    BarState.HELD,
    BarState.RETURNED,
    BarState.SECOND,
    BarState.RETAINED,
)
WITH_ORDERS = (BarState.RESERVED, BarState.PACKED)
GONE_OUT = (BarState.SHIPPED,)
# Out of the house without an order: nobody in the book to call.
LET_GO = (BarState.LET_GO,)
NO_MORE = (BarState.TEST, BarState.SPOILED)


@dataclass(frozen=True)
class LotFound:
    """A lot of a material, so many ``steps`` away from what was asked for."""

    code: str
    material: str
    supplier: str
    supplier_lot: str
    received_on: date
    state: str
    grams_left: Decimal
    steps: int = 0


@dataclass(frozen=True)
class PartLotFound:
    code: str
    part: str
    made_on: date
    pieces_left: int
    is_held: bool
    steps: int = 0


@dataclass(frozen=True)
class PotFound:
    """A pot of parts that gave no lot: poured and not counted yet, or thrown away."""

    number: str
    part: str
    state: str
    made_on: date | None


@dataclass(frozen=True)
class BatchFound:
    number: str
    design: str
    state: str
    status: str
    pour_on: date
    poured_on: date | None
    steps: int = 0


@dataclass(frozen=True)
class Bars:
    """Bars made and where the book says they are now."""

    made: int = 0
    places: Mapping[BarState, int] = field(default_factory=dict)

    def at(self, *states: BarState) -> int:
        return sum(self.places.get(state, 0) for state in states)

    @property
    def here(self) -> int:
        return self.at(*HERE)

    @property
    def with_orders(self) -> int:
        return self.at(*WITH_ORDERS)

    @property
    def shipped(self) -> int:
        return self.at(*GONE_OUT)

    @property
    def let_go(self) -> int:
        return self.at(*LET_GO)

    @property
    def no_more(self) -> int:
        return self.at(*NO_MORE)

    @property
    def accounted(self) -> int:
        return self.here + self.with_orders + self.shipped + self.let_go + self.no_more

    @property
    def gap(self) -> int:
        """Bars that the book cannot place; 0 unless the book itself is broken."""
        return self.made - self.accounted

    @property
    def accounted_percent(self) -> Decimal:
        return Decimal(100) if not self.made else Decimal(100) * self.accounted / self.made

    @property
    def lines(self) -> tuple[tuple[str, int], ...]:
        """Every place that holds bars, in the order in which a person looks."""
        order = (*HERE, *WITH_ORDERS, *GONE_OUT, *LET_GO, *NO_MORE)
        return tuple((state.label, self.places[state]) for state in order if self.places.get(state))


@dataclass(frozen=True)
class LineFound:
    """What one order has, or is promised, of one batch: bars by where they are."""

    batch: str
    finish: str
    kept: int = 0
    shipped: int = 0
    shipped_on: date | None = None
    promised: int = 0


@dataclass(frozen=True)
class Call:
    """One order to tell about: who, how to reach them, what they got and when."""

    order: str
    customer: str
    email: str
    phone: str
    state: str
    needed_by: date
    lines: tuple[LineFound, ...] = ()

    @property
    def shipped(self) -> int:
        return sum(line.shipped for line in self.lines)

    @property
    def kept(self) -> int:
        return sum(line.kept for line in self.lines)

    @property
    def promised(self) -> int:
        return sum(line.promised for line in self.lines)

    @property
    def shipped_on(self) -> date | None:
        """The last day on which bars went out."""
        return max((line.shipped_on for line in self.lines if line.shipped_on), default=None)

    @property
    def batches(self) -> tuple[str, ...]:
        """The batches its bars come from, each once."""
        return tuple(dict.fromkeys(line.batch for line in self.lines))

    @property
    def reach(self) -> str:
        """How to reach them, in one line."""
        return ", ".join(way for way in (self.phone, self.email) if way)


@dataclass(frozen=True)
class Trace:
    """Everything that came before and after what was asked for."""

    title: str
    asked: str
    kind: str
    from_lots: tuple[LotFound, ...] = ()
    from_part_lots: tuple[PartLotFound, ...] = ()
    from_batches: tuple[BatchFound, ...] = ()
    to_lots: tuple[LotFound, ...] = ()
    to_part_lots: tuple[PartLotFound, ...] = ()
    to_pots: tuple[PotFound, ...] = ()
    batches: tuple[BatchFound, ...] = ()
    batch_count: int = 0
    bars: Bars = Bars()
    bars_by_batch: Mapping[str, Bars] = field(default_factory=dict)
    calls: tuple[Call, ...] = ()
    call_count: int = 0

    @property
    def is_empty(self) -> bool:
        """Nothing leads on from here, to either side."""
        before = self.from_lots or self.from_part_lots or self.from_batches
        return not (before or self.batch_count or self.to_lots or self.to_part_lots or self.to_pots)

    def bars_of(self, number: str) -> Bars:
        return self.bars_by_batch.get(number, Bars())
