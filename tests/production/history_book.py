"""A plain book of a workshop, kept in memory: every entry is judged by the shop's own rules, none by a database.

Random histories are written into it, alone or beside the real shop, and its sums and its descent are then looked over.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from production.bar_ledger import BarState, Move, balance, judge_move
from production.batch_states import BatchState, may_move, state_after_hold
from production.batches.contents import share_of, together
from production.batches.frozen import FrozenContent, FrozenContents, FrozenMaterial
from production.lot_states import MOVES as LOT_MOVES
from production.lot_states import LotState, may_draw
from production.lot_states import may_move as may_move_lot
from production.tracing.graph import Edge, Kind, Node
from production.tracing.graph import batch as batch_node
from production.tracing.graph import lot as lot_node

ZERO = Decimal(0)
ROUNDED = Decimal("0.001")  # each share of a material is kept to a microgram
IN_THE_HOUSE = (BarState.IN_CURE, BarState.RELEASED, BarState.RESERVED, BarState.PACKED)


class Refused(Exception):
    """The rules do not allow it; nothing was written."""


@dataclass
class BookLot:
    material: str
    received: Decimal
    grams: Decimal
    state: LotState = LotState.RELEASED
    contents: FrozenContents | None = None


@dataclass
class BookLine:
    material: str
    lot: int | None = None
    grams: Decimal | None = None
    is_extra: bool = False
    from_own: int | None = None  # the lot of own soap it is planned from


@dataclass
class BookBatch:
    lines: list[BookLine]
    state: BatchState = BatchState.PLANNED
    held_from: BatchState | None = None
    moves: list[Move] = field(default_factory=list)
    given: Decimal = ZERO  # grams of its soap that went into lots
    kept_back: Counter[str] = field(default_factory=Counter)  # bars that came back, by finish: no hold brings them back

    @property
    def grams(self) -> Decimal:
        return sum((line.grams or ZERO for line in self.lines), ZERO)


class Book:
    def __init__(self) -> None:
        self.lots: dict[int, BookLot] = {}
        self.batches: dict[int, BookBatch] = {}
        self.edges: list[tuple[Edge, BookLine | None]] = []  # with the line that an edge rests on
        self.spilled: Counter[int] = Counter()
        self.repacked: Counter[int] = Counter()

    # lots

    def receive(self, lot: int, material: str, grams: Decimal) -> None:
        self.lots[lot] = BookLot(material, grams, grams)

    def draw(self, lot: int, grams: Decimal) -> BookLot:
        found = self.lots[lot]
        refuse_if(may_draw(found.state))
        refuse_if("too little" if not ZERO < grams <= found.grams else None)
        found.grams -= grams
        if not found.grams:
            found.state = LotState.USED_UP
        return found

    def move_lot(self, lot: int, to: LotState) -> None:
        refuse_if(may_move_lot(self.lots[lot].state, to))
        self.lots[lot].state = to

    def repack(self, lot: int, new: int, grams: Decimal) -> None:
        found = self.draw(lot, grams)
        contents = None if found.contents is None else share_of(found.contents, grams)
        self.repacked[lot] += grams  # type: ignore[assignment]
        self.lots[new] = BookLot(found.material, grams, grams, contents=contents)
        self.edges.append((Edge(lot_node(lot), lot_node(new)), None))

    # batches

    def plan(self, batch: int, materials: Iterable[str], own: Iterable[int] = ()) -> None:
        """Plan a batch of bought materials, or of lots of own soap."""
        soaps = [BookLine(self.lots[lot].material, from_own=lot) for lot in own]
        self.batches[batch] = BookBatch([*soaps, *(BookLine(material) for material in materials)])

    def weigh(self, batch: int, line: int, lot: int, grams: Decimal) -> None:
        found = self.at_the_bench(batch)
        row = found.lines[line]
        refuse_if("weighed already" if row.grams is not None else None)
        refuse_if("another material" if self.lots[lot].material != row.material else None)
        self.draw(lot, grams)
        found.state, row.lot, row.grams = BatchState.IN_PROCESS, lot, grams
        self.edges.append((Edge(lot_node(lot), batch_node(batch)), row))

    def add(self, batch: int, lot: int, grams: Decimal) -> None:
        found = self.at_the_bench(batch)
        self.draw(lot, grams)
        row = BookLine(self.lots[lot].material, lot, grams, is_extra=True)
        found.lines.append(row)
        found.state = BatchState.IN_PROCESS
        self.edges.append((Edge(lot_node(lot), batch_node(batch)), row))

    def spill(self, batch: int, line: int, grams: Decimal) -> None:
        row = self.at_the_bench(batch).lines[line]
        refuse_if("not in the pot" if not row.grams or grams > row.grams else None)
        row.grams = (row.grams or ZERO) - grams
        self.spilled[row.lot or 0] += grams  # type: ignore[assignment]

    def undo(self, batch: int, line: int) -> None:
        row = self.at_the_bench(batch).lines[line]
        refuse_if("not weighed" if row.grams is None or row.lot is None else None)
        lot = self.lots[row.lot]  # type: ignore[index]
        lot.grams += row.grams or ZERO
        if lot.state == LotState.USED_UP and lot.grams:
            lot.state = LotState.RELEASED
        row.lot, row.grams = None, ZERO if row.is_extra else None

    def at_the_bench(self, batch: int) -> BookBatch:
        found = self.batches[batch]
        refuse_if("not at the bench" if found.state not in (BatchState.PLANNED, BatchState.IN_PROCESS) else None)
        return found

    def pour(self, batch: int) -> None:
        found = self.batches[batch]
        refuse_if("not weighed out" if any(line.grams is None for line in found.lines) else None)
        self.turn(found, BatchState.POURED)

    def cut(self, batch: int, bars: Mapping[str, int], spoiled: int) -> None:
        found = self.batches[batch]
        self.turn(found, BatchState.CUT)
        for finish, count in bars.items():
            self.move(batch, BarState.MADE, BarState.IN_CURE, count, finish)
        if spoiled:
            self.move(batch, BarState.MADE, BarState.SPOILED, spoiled, next(iter(bars)))
        self.turn(found, BatchState.CURING)

    def release(self, batch: int) -> None:
        found = self.batches[batch]
        if found.state == BatchState.CURING:
            self.turn(found, BatchState.READY_FOR_REVIEW)
        self.turn(found, BatchState.RELEASED)
        for finish in self.finishes(batch):
            bars = self.bars(batch, finish)[BarState.IN_CURE]
            if bars:
                self.move(batch, BarState.IN_CURE, BarState.RELEASED, bars, finish)

    def hold(self, batch: int) -> None:
        """Hold a batch with its bars, the soap that came of it, and every batch that some of it went into."""
        self.hold_alone(batch)
        for node in self.reached(batch_node(batch), self.descent(planned_too=True)) - {batch_node(batch)}:
            if node.kind == Kind.LOT and LotState.HELD in LOT_MOVES[self.lots[node.pk].state]:
                self.lots[node.pk].state = LotState.HELD
            if node.kind == Kind.BATCH and may_move(self.batches[node.pk].state, BatchState.HELD) is None:
                self.hold_alone(node.pk)

    def hold_alone(self, batch: int) -> None:
        found = self.batches[batch]
        came_from = found.state
        self.turn(found, BatchState.HELD)
        found.held_from = came_from
        for finish in self.finishes(batch):
            now = self.bars(batch, finish)
            found.kept_back[finish] += now[BarState.RETURNED]
            for state in (*IN_THE_HOUSE, BarState.RETURNED):
                if now[state]:
                    self.move(batch, state, BarState.HELD, now[state], finish)

    def clear(self, batch: int) -> None:
        found = self.batches[batch]
        refuse_if("not on hold" if found.held_from is None else None)
        found.state, found.held_from = state_after_hold(found.held_from), None  # type: ignore[arg-type]
        for finish in self.finishes(batch):
            bars = self.bars(batch, finish)[BarState.HELD] - found.kept_back[finish]
            if bars:
                self.move(batch, BarState.HELD, BarState.IN_CURE, bars, finish)

    def stock_scraps(self, batch: int, lot: int, grams: Decimal) -> None:
        found = self.batches[batch]
        poured = (BatchState.POURED, BatchState.CURING, BatchState.READY_FOR_REVIEW, BatchState.RELEASED)
        refuse_if("no soap yet" if found.state not in poured else None)
        refuse_if("more than there is" if not ZERO < grams <= found.grams - found.given else None)
        found.given += grams
        self.lots[lot] = BookLot("soap", grams, grams, contents=share_of(self.contents_of(batch), grams))
        self.edges.append((Edge(batch_node(batch), lot_node(lot)), None))

    def contents_of(self, batch: int) -> FrozenContents:
        """Return what is in a pot, own soap as what it is made of."""
        found = []
        for line in self.batches[batch].lines:
            if not line.grams or line.lot is None:
                continue
            inside = self.lots[line.lot].contents
            found.append(plain(line.material, line.grams) if inside is None else share_of(inside, line.grams))
        return together(found)

    # bars

    def move(self, batch: int, start: BarState, end: BarState, bars: int, finish: str = "plain") -> None:
        found = self.batches[batch]
        now = balance(move for move in found.moves if move.finish == finish)
        refuse_if(judge_move(now, start, end, bars))
        found.moves.append(Move(start, end, bars, finish))

    def finishes(self, batch: int) -> list[str]:
        return list(dict.fromkeys(move.finish for move in self.batches[batch].moves))

    def bars(self, batch: int, finish: str = "plain") -> Counter[BarState]:
        now = balance(move for move in self.batches[batch].moves if move.finish == finish)
        return Counter({state: now.at(state) for state in BarState})

    @staticmethod
    def turn(found: BookBatch, to: BatchState) -> None:
        refuse_if(may_move(found.state, to))
        found.state = to

    # looked over

    def descent(self, *, planned_too: bool = False) -> list[Edge]:
        """Return what is in what: a lot is in a batch while its weighing stands and is more than nothing."""
        edges = [edge for edge, row in self.edges if row is None or (row.grams and edge.source.pk == row.lot)]
        if planned_too:
            edges += [
                Edge(lot_node(line.from_own), batch_node(number))
                for number, batch in self.batches.items()
                for line in batch.lines
                if line.from_own is not None
            ]
        return edges

    @staticmethod
    def reached(start: Node, edges: Iterable[Edge]) -> set[Node]:
        """By the definition: the start, and whatever holds something of what is reached."""
        found, edges = {start}, list(edges)
        while True:
            more = {edge.target for edge in edges if edge.source in found} - found
            if not more:
                return found
            found |= more

    def assert_conserved(self) -> None:
        """No gram and no bar is lost or made of nothing, and no balance is below nothing."""
        in_pots: Counter[int] = Counter()
        for batch in self.batches.values():
            for line in batch.lines:
                if line.lot is not None:
                    in_pots[line.lot] += line.grams or ZERO  # type: ignore[assignment]
            for finish in dict.fromkeys(move.finish for move in batch.moves):
                now = balance(move for move in batch.moves if move.finish == finish)
                assert now.made == now.accounted
                assert min(now.places.values(), default=0) >= 0
        for number, lot in self.lots.items():
            assert lot.grams >= 0
            assert lot.received == lot.grams + in_pots[number] + self.spilled[number] + self.repacked[number]

    def assert_contents_kept(self) -> None:
        """What the lots of a batch hold is never more than what went into its pot, material by material."""
        for number, batch in self.batches.items():
            given = together(
                lot.contents
                for edge, _ in self.edges
                if edge.source == batch_node(number) and (lot := self.lots[edge.target.pk]).contents is not None
            )
            whole = {item.material.name: item.grams for item in self.contents_of(number).items}
            for item in given.items:
                assert item.grams <= whole[item.material.name] + ROUNDED
            assert abs(given.grams - batch.given) <= ROUNDED


def refuse_if(reason: str | None) -> None:
    if reason:
        raise Refused(reason)


def plain(material: str, grams: Decimal) -> FrozenContents:
    kind = "liquid" if material == "water" else "fat"
    return FrozenContents((FrozenContent(FrozenMaterial(0, material, kind), grams),))
