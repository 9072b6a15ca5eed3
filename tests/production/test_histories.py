"""Random histories of a workshop: whatever happens in whatever order, no gram and no bar is lost or made of nothing,
no balance goes below nothing, and a trace finds what a plain walk over what came from what finds.

Three hundred histories of forty steps are kept in a plain book, judged by the pure rules alone; a few of forty steps
are played in the real shop beside it (tests/production/test_histories_in_the_shop.py).
"""

from contextlib import suppress
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from production.bar_ledger import BarState
from production.batch_states import BatchState
from production.lot_states import LotState
from production.tracing.graph import batch as batch_node
from production.tracing.graph import lot as lot_node
from production.tracing.graph import walk
from tests.production.history_book import Book, Refused

MATERIALS = ("olive", "water", "lye")
AT_THE_BENCH = (BatchState.PLANNED, BatchState.IN_PROCESS)
POURED = (BatchState.POURED, BatchState.CURING, BatchState.READY_FOR_REVIEW, BatchState.RELEASED)
SOLD = (
    (BarState.RELEASED, BarState.RESERVED, 4),
    (BarState.RESERVED, BarState.PACKED, 2),
    (BarState.PACKED, BarState.SHIPPED, 2),
)
HISTORIES, STEPS = 300, 40
LAST = 7
pick = st.integers(0, LAST)
grams = st.sampled_from([Decimal(5), Decimal("62.5"), Decimal(180), Decimal(400)])
few = st.integers(1, 6)


class History(RuleBasedStateMachine):
    """One workshop with a batch for sale, one on the rack, ends of it in stock and a ticket still to be weighed.

    A step that the rules refuse leaves the book as it was.
    """

    def __init__(self) -> None:
        super().__init__()
        self.book = Book()
        self.next = 0
        for material in MATERIALS:
            self.book.receive(self._new(), material, Decimal(900))
        sold, curing, planned = (self._new() for _ in range(3))
        for batch in (sold, curing, planned):
            self.book.plan(batch, MATERIALS)
        for turn in (0, 0):
            self.make(turn)
        self.book.release(sold)
        for start, end, bars in SOLD:
            self.book.move(sold, start, end, bars)
        self.book.stock_scraps(curing, self._new(), Decimal(80))

    def _new(self) -> int:
        self.next += 1
        return self.next

    def _lot(self, turn: int) -> int:
        return list(self.book.lots)[turn % len(self.book.lots)]

    def _batch(self, turn: int, *states: BatchState) -> int:
        """Mostly a batch that stands where the step can be done; at the last turn any."""
        fitting = [number for number, batch in self.book.batches.items() if batch.state in states]
        numbers = fitting if fitting and turn < LAST else list(self.book.batches)
        return numbers[turn % len(numbers)]

    def _with_bars(self, turn: int, state: BarState, finish: str) -> int:
        """Mostly a batch that has bars there."""
        fitting = [number for number in self.book.batches if self.book.bars(number, finish)[state]]
        return fitting[turn % len(fitting)] if fitting and turn < LAST else self._batch(turn)

    def _try(self, verb: str, *given: object) -> None:
        with suppress(Refused):
            getattr(self.book, verb)(*given)

    @rule(material=st.sampled_from(MATERIALS), amount=grams)
    def receive(self, material: str, amount: Decimal) -> None:
        self.book.receive(self._new(), material, amount)

    @rule()
    def plan(self) -> None:
        self.book.plan(self._new(), MATERIALS)

    @rule(turn=pick, amount=grams)
    def weigh_all(self, turn: int, amount: Decimal) -> None:
        """Weigh every open line of a batch from the first lot that has it."""
        batch = self._batch(turn, *AT_THE_BENCH)
        for place, line in enumerate(self.book.batches[batch].lines):
            fitting = (number for number, lot in self.book.lots.items() if self._fits(lot, line.material, amount))
            found = line.from_own or next(fitting, None)
            if line.grams is None and found is not None:
                self._try("weigh", batch, place, found, min(amount, self.book.lots[found].grams))

    @staticmethod
    def _fits(lot, material: str, amount: Decimal) -> bool:
        return lot.material == material and lot.state == LotState.RELEASED and lot.grams >= amount

    @rule(turn=pick, lot=pick, place=pick, amount=grams)
    def weigh_from_any_tub(self, turn: int, lot: int, place: int, amount: Decimal) -> None:
        batch = self._batch(turn, *AT_THE_BENCH)
        self._try("weigh", batch, place % len(self.book.batches[batch].lines), self._lot(lot), amount)

    @rule(turn=pick, lot=pick, amount=grams)
    def add_what_is_not_on_the_ticket(self, turn: int, lot: int, amount: Decimal) -> None:
        self._try("add", self._batch(turn, *AT_THE_BENCH), self._lot(lot), amount)

    @rule(turn=pick, place=pick, amount=grams)
    def spill(self, turn: int, place: int, amount: Decimal) -> None:
        batch = self._batch(turn, *AT_THE_BENCH)
        self._try("spill", batch, place % len(self.book.batches[batch].lines), amount)

    @rule(turn=pick, place=pick)
    def undo(self, turn: int, place: int) -> None:
        batch = self._batch(turn, *AT_THE_BENCH)
        self._try("undo", batch, place % len(self.book.batches[batch].lines))

    @rule(turn=pick)
    def pour(self, turn: int) -> None:
        self._try("pour", self._batch(turn, BatchState.IN_PROCESS))

    @rule(turn=pick, plain=few, sealed=few, spoiled=st.integers(0, 2))
    def cut(self, turn: int, plain: int, sealed: int, spoiled: int) -> None:
        self._try("cut", self._batch(turn, BatchState.POURED), {"plain": plain, "seal": sealed}, spoiled)

    @rule(turn=pick)
    def make(self, turn: int) -> None:
        """All the way from the ticket to the rack."""
        self.weigh_all(turn, Decimal(100))
        self.pour(turn)
        self.cut(turn, 6, 3, 1)

    @rule(turn=pick)
    def release(self, turn: int) -> None:
        self._try("release", self._batch(turn, BatchState.CURING, BatchState.READY_FOR_REVIEW))

    @rule(turn=pick, bars=few, finish=st.sampled_from(["plain", "seal"]))
    def reserve(self, turn: int, bars: int, finish: str) -> None:
        batch = self._with_bars(turn, BarState.RELEASED, finish)
        self._try("move", batch, BarState.RELEASED, BarState.RESERVED, bars, finish)

    @rule(turn=pick, bars=few, finish=st.sampled_from(["plain", "seal"]))
    def ship(self, turn: int, bars: int, finish: str) -> None:
        batch = self._with_bars(turn, BarState.RESERVED, finish)
        self._try("move", batch, BarState.RESERVED, BarState.PACKED, bars, finish)
        self._try("move", batch, BarState.PACKED, BarState.SHIPPED, bars, finish)

    @rule(turn=pick, bars=few, finish=st.sampled_from(["plain", "seal"]))
    def take_back(self, turn: int, bars: int, finish: str) -> None:
        batch = self._with_bars(turn, BarState.SHIPPED, finish)
        self._try("move", batch, BarState.SHIPPED, BarState.RETURNED, bars, finish)

    @rule(turn=pick, start=st.sampled_from(BarState), end=st.sampled_from(BarState), bars=few)
    def move_bars_anywhere(self, turn: int, start: BarState, end: BarState, bars: int) -> None:
        """Also what no page would offer, but for new bars and for what a hold keeps count of."""
        if BarState.MADE not in (start, end) and BarState.HELD not in (start, end):
            self._try("move", self._batch(turn), start, end, bars)

    @rule(turn=pick)
    def hold(self, turn: int) -> None:
        self._try("hold", self._batch(turn))

    @rule(turn=pick)
    def clear(self, turn: int) -> None:
        self._try("clear", self._batch(turn, BatchState.HELD))

    @rule(turn=pick, to=st.sampled_from([LotState.HELD, LotState.RELEASED, LotState.REJECTED]))
    def judge_lot(self, turn: int, to: LotState) -> None:
        self._try("move_lot", self._lot(turn), to)

    @rule(turn=pick, amount=grams)
    def stock_scraps(self, turn: int, amount: Decimal) -> None:
        self._try("stock_scraps", self._batch(turn, *POURED), self._new(), amount)

    @rule(turn=pick)
    def rebatch(self, turn: int) -> None:
        own = [number for number, lot in self.book.lots.items() if lot.contents is not None and lot.grams]
        if own:
            self.book.plan(self._new(), ["water"], [own[turn % len(own)]])

    @rule(turn=pick, amount=grams)
    def repack(self, turn: int, amount: Decimal) -> None:
        self._try("repack", self._lot(turn), self._new(), amount)

    @invariant()
    def no_gram_and_no_bar_is_lost(self) -> None:
        self.book.assert_conserved()

    def teardown(self) -> None:
        self.book.assert_contents_kept()
        edges = self.book.descent()
        for start in (*map(lot_node, self.book.lots), *map(batch_node, self.book.batches)):
            assert set(walk([start], edges)) == self.book.reached(start, edges)
            back = [edge.__class__(edge.target, edge.source) for edge in edges]
            assert set(walk([start], edges, backward=True)) == self.book.reached(start, back)


def test_three_hundred_histories_of_forty_steps_keep_the_book():
    run_state_machine_as_test(
        History,
        settings=settings(
            max_examples=HISTORIES,
            stateful_step_count=STEPS,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )


def test_a_gram_or_a_bar_that_goes_missing_is_noticed():
    """The negative control: the book does not close any more when something is taken out beside it."""
    history = History()
    history.book.assert_conserved()
    history.book.lots[1].grams -= Decimal("0.001")
    with pytest.raises(AssertionError):
        history.book.assert_conserved()


def test_more_in_the_ends_than_in_the_pot_is_noticed():
    history = History()
    batch = next(number for number, batch in history.book.batches.items() if batch.given)
    history.book.assert_contents_kept()
    history.book.batches[batch].given += Decimal("0.01")
    with pytest.raises(AssertionError):
        history.book.assert_contents_kept()
