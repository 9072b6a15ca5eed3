"""The same histories in the real shop, through its actions, with a plain book kept beside it.

Whatever the shop allows, the plain book must allow too, and both must show the same grams, bars and descent. How many
histories are played stands in HISTORIES_IN_THE_SHOP; each has forty steps.
"""

import os
from collections import defaultdict
from contextlib import suppress
from datetime import timedelta
from decimal import Decimal

from django.db import transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from formulas.models import Material
from orders.models import Order
from production.bar_ledger import BarState
from production.batch_states import BatchState
from production.batches.actions.after_pour import clear_hold, cut_batch, decide_deviation, hold_batch
from production.batches.actions.bench import pour_batch, start_batch, undo_weighing, weigh_line
from production.batches.actions.off_ticket import add_unplanned, spill_weighed
from production.batches.actions.planning import plan_batches
from production.batches.asked import BatchRefusal
from production.batches.models import Batch, Weighing
from production.cure.actions.checks import CheckReading, enter_check
from production.cure.actions.judging import return_bars
from production.cure.actions.packing import hand_over, pack_order
from production.cure.actions.reserving import allocate_bars
from production.cure.actions.review import release_batch
from production.cure.bar_counts import bar_counts
from production.cure.models import BarMove
from production.cure.refusal import CureRefusal
from production.leftovers.actions.rebatch import plan_rebatch
from production.leftovers.actions.scraps import stock_scraps
from production.lot_states import LotState
from production.stock.actions import StockRefusal, move_lot, receive_lot, repack_lots
from production.stock.models import Lot
from production.tracing.graph import Kind, Node, of_kind
from production.tracing.graph import batch as batch_node
from production.tracing.graph import lot as lot_node
from production.tracing.kin import Holding, descendants, kin_edges
from soapshop.models import User, Workshop
from tests.production.cure_builders import CUT_DAY, POUR_DAY, READY_DAY, make_cut, make_design, make_order
from tests.production.history_book import Book

HISTORIES = int(os.environ.get("HISTORIES_IN_THE_SHOP", "6"))
REFUSALS = (BatchRefusal, StockRefusal, CureRefusal)
pick = st.integers(0, 7)
small = st.sampled_from([Decimal(5), Decimal(40), Decimal(300)])


def history_of(owner: User) -> type[RuleBasedStateMachine]:
    """Return the machine over a shop that is set up once: one batch reserved for, one on the rack, one ticket."""
    orders = _open_shop(owner)

    class ShopHistory(RuleBasedStateMachine):
        def __init__(self) -> None:
            super().__init__()
            self.point = transaction.atomic()
            self.point.__enter__()
            self.book = _book_of_now()

        def teardown(self) -> None:
            try:
                self._compare_descent()
            finally:
                transaction.set_rollback(True)
                self.point.__exit__(None, None, None)

        @rule(kind=st.sampled_from(["olive", "coconut", "naoh", "water"]), grams=small)
        def receive(self, kind: str, grams: Decimal) -> None:
            material = Material.objects.get(key=kind)
            lot = receive_lot(material=material, received_on=POUR_DAY, grams=grams, by=owner)
            self.book.receive(lot.pk, material.name, lot.grams_left)

        @rule(turn=pick, lines=st.integers(1, 5))
        def weigh(self, turn: int, lines: int) -> None:
            batch = _one(Batch.objects.filter(status__in=("planned", "in_process")), turn)
            if batch is None:
                return
            if batch.state == BatchState.PLANNED:
                start_batch(batch_id=batch.pk, by=owner)
            for line in batch.weighings.filter(actual_grams=None).select_related("lot")[:lines]:
                self._weigh(batch, line)

        def _weigh(self, batch: Batch, line: Weighing) -> None:
            lot = line.lot or Lot.objects.filter(material_id=line.material_id).drawable(on=CUT_DAY).first()
            if lot is None:
                return
            told = {"lot_code": lot.code, "grams": line.planned_grams, "on": POUR_DAY, "by": owner}
            with suppress(*REFUSALS):
                weigh_line(weighing_id=line.pk, **told)
                self.book.weigh(batch.pk, _place(line), lot.pk, line.planned_grams)

        @rule(turn=pick, grams=small)
        def spill(self, turn: int, grams: Decimal) -> None:
            line = _one(Weighing.objects.filter(batch__status="in_process", actual_grams__gt=0), turn)
            if line is not None:
                with suppress(*REFUSALS):
                    spill_weighed(weighing_id=line.pk, grams=grams, what_happened="over the rim", by=owner)
                    self.book.spill(line.batch_id, _place(line), grams)

        @rule(turn=pick, grams=small)
        def add(self, turn: int, grams: Decimal) -> None:
            batch, lot = _one(Batch.objects.filter(status="in_process"), turn), _one(Lot.objects.all(), turn)
            if batch is not None and lot is not None:
                told = {"batch_id": batch.pk, "lot_code": lot.code, "grams": grams, "on": POUR_DAY, "by": owner}
                with suppress(*REFUSALS):
                    add_unplanned(what_happened="a slip", **told)
                    self.book.add(batch.pk, lot.pk, grams)

        @rule(turn=pick)
        def undo(self, turn: int) -> None:
            line = _one(Weighing.objects.filter(batch__status="in_process", actual_grams__gt=0), turn)
            if line is not None:
                with suppress(*REFUSALS):
                    undo_weighing(weighing_id=line.pk, reason="again", by=owner)
                    self.book.undo(line.batch_id, _place(line))

        @rule(turn=pick)
        def pour_and_cut(self, turn: int) -> None:
            batch = _one(Batch.objects.filter(status__in=("in_process", "poured")), turn)
            if batch is None:
                return
            with suppress(*REFUSALS):
                pour_batch(batch_id=batch.pk, on=POUR_DAY, reason="as it is", by=owner)
                self.book.pour(batch.pk)
            with suppress(*REFUSALS):
                bars = {"plain": max(batch.planned_bars - 1, 1)}
                cut_batch(batch_id=batch.pk, on=CUT_DAY, bars_by_finish=bars, spoiled=1, reason="so", by=owner)
                self.book.cut(batch.pk, bars, 1)

        @rule(turn=pick)
        def release(self, turn: int) -> None:
            batch = _one(Batch.objects.filter(status__in=("curing", "ready_for_review")), turn)
            if batch is None:
                return
            for row in batch.deviations.filter(decision=""):
                decide_deviation(deviation_id=row.pk, decision="accept", words="looked at", by=owner)
            with suppress(*REFUSALS):
                _release(batch, owner)
                self.book.release(batch.pk)

        @rule(turn=pick)
        def reserve(self, turn: int) -> None:
            with suppress(*REFUSALS):
                told = {"today": READY_DAY, "by": owner, "out_of_turn": "in a hurry"}
                self._moved(allocate_bars(order_id=orders[turn % len(orders)], **told))

        @rule(turn=pick)
        def ship(self, turn: int) -> None:
            order_id = orders[turn % len(orders)]
            with suppress(*REFUSALS):
                self._moved(pack_order(order_id=order_id, on=READY_DAY, is_part=True, by=owner))
            with suppress(*REFUSALS):
                told = {"on": READY_DAY, "is_part": True, "unpaid_reason": "an old customer", "by": owner}
                self._moved(hand_over(order_id=order_id, **told))

        @rule(turn=pick, bars=st.integers(1, 3))
        def take_back(self, turn: int, bars: int) -> None:
            gone = _one(BarMove.objects.filter(to_state="shipped").select_related("line"), turn)
            if gone is None or gone.line is None:
                return
            where = {"order_id": gone.line.order_id, "line_id": gone.line_id, "batch_id": gone.batch_id}
            with suppress(*REFUSALS):
                self._moved(return_bars(finish=gone.finish, bars=bars, reason="dented", by=owner, **where))

        def _moved(self, moves: list[BarMove]) -> None:
            for move in moves:
                start, end = BarState(move.from_state), BarState(move.to_state)
                self.book.move(move.batch_id, start, end, move.bars, move.finish)

        @rule(turn=pick)
        def hold(self, turn: int) -> None:
            batch = _one(Batch.objects.all(), turn)
            assert batch is not None
            with suppress(*REFUSALS):
                hold_batch(batch_id=batch.pk, reason="look again", by=owner)
                self.book.hold(batch.pk)

        @rule(turn=pick)
        def clear(self, turn: int) -> None:
            batch = _one(Batch.objects.filter(status="held"), turn)
            if batch is not None:
                clear_hold(batch_id=batch.pk, words="looked at", by=owner)
                self.book.clear(batch.pk)

        @rule(turn=pick, to=st.sampled_from([LotState.HELD, LotState.RELEASED]))
        def judge_lot(self, turn: int, to: LotState) -> None:
            lot = _one(Lot.objects.exclude(status="used_up"), turn)
            if lot is not None:
                with suppress(*REFUSALS):
                    move_lot(lot_id=lot.pk, to=to, reason="smells", by=owner)
                    self.book.move_lot(lot.pk, to)

        @rule(turn=pick, grams=small)
        def scraps(self, turn: int, grams: Decimal) -> None:
            batch = _one(Batch.objects.exclude(status__in=("planned", "in_process", "held")), turn)
            if batch is not None:
                with suppress(*REFUSALS):
                    lot = stock_scraps(batch_id=batch.pk, grams=grams, what="Ends", on=CUT_DAY, by=owner)
                    self.book.stock_scraps(batch.pk, lot.pk, grams)

        @rule(turn=pick)
        def rebatch(self, turn: int) -> None:
            lot = _one(Lot.objects.filter(contents__isnull=False, grams_left__gt=0), turn)
            if lot is None:
                return
            shape = Batch.objects.filter(revision__isnull=False).values("design_id", "mold_id")[0]
            with suppress(*REFUSALS):
                batch = plan_rebatch(
                    grams_by_lot={lot.code: lot.grams_left},
                    additions={},
                    mold_count=1,
                    bars=4,
                    cure_days=28,
                    least_cure_days=14,
                    pour_on=CUT_DAY,
                    by=owner,
                    **shape,
                )
                self.book.plan(batch.pk, (), [lot.pk])

        @rule(turn=pick, grams=small)
        def repack(self, turn: int, grams: Decimal) -> None:
            lot = _one(Lot.objects.filter(grams_left__gt=0), turn)
            if lot is not None:
                with suppress(*REFUSALS):
                    (tub,) = repack_lots(grams_by_lot={lot.pk: grams}, into=[grams], on=CUT_DAY, by=owner)
                    self.book.repack(lot.pk, tub.pk, grams)

        @invariant()
        def shop_and_book_agree(self) -> None:
            self.book.assert_conserved()
            shelf = {pk: (grams, status) for pk, grams, status in Lot.objects.values_list("pk", "grams_left", "status")}
            assert shelf == {pk: (lot.grams, lot.state.value) for pk, lot in self.book.lots.items()}
            states = dict(Batch.objects.values_list("pk", "status"))
            assert states == {pk: batch.state.value for pk, batch in self.book.batches.items()}
            assert _bars_of_now() == {
                (pk, finish): +self.book.bars(pk, finish)
                for pk in self.book.batches
                for finish in self.book.finishes(pk)
            }

        def _compare_descent(self) -> None:
            kin, edges = kin_edges(), self.book.descent()
            for start in map(lot_node, self.book.lots):
                assert _found(start, kin) == self.book.reached(start, edges)

    return ShopHistory


def _open_shop(owner: User) -> list[int]:
    design = make_design(owner)
    orders = []
    for bars in (8, 6, 10):
        orders.append(make_order(design, bars, needed_by=READY_DAY + timedelta(days=30), by=owner))
    sold = make_cut(orders[0], by=owner)
    curing = make_cut(orders[1], by=owner)
    plan_batches(order_id=orders[2].pk, today=POUR_DAY, pour_on=POUR_DAY, by=owner)
    _release(sold, owner)
    allocate_bars(order_id=orders[0].pk, today=READY_DAY, by=owner)
    stock_scraps(batch_id=curing.pk, grams=Decimal(40), what="Ends", on=CUT_DAY, by=owner)
    return [order.pk for order in Order.objects.order_by("pk")]


def _release(batch: Batch, owner: User) -> None:
    enter_check(batch_id=batch.pk, reading=CheckReading(method="looks"), on=READY_DAY, today=READY_DAY, by=owner)
    release_batch(batch_id=batch.pk, words="hard", early_reason="asked for", today=READY_DAY, by=owner)


def _book_of_now() -> Book:
    """Write the shop as it was set up into a plain book, from its own rows."""
    book = Book()
    for lot in Lot.objects.filter(contents__isnull=True).select_related("material"):
        book.receive(lot.pk, lot.material.name, lot.received_grams)
    for batch in Batch.objects.order_by("pk").prefetch_related("weighings__material", "bar_moves"):
        lines = list(batch.weighings.all())
        book.plan(batch.pk, [line.material.name for line in lines])
        for place, line in enumerate(lines):
            if line.is_weighed:
                book.weigh(batch.pk, place, line.lot_id, line.actual_grams)
        if batch.cut_on is None:
            continue
        book.pour(batch.pk)
        book.cut(batch.pk, {"plain": batch.bars_cut}, batch.spoiled_at_cut)
        if batch.state == BatchState.RELEASED:
            book.release(batch.pk)
        for move in batch.bar_moves.filter(to_state="reserved"):
            book.move(batch.pk, BarState.RELEASED, BarState.RESERVED, move.bars, move.finish)
    for lot in Lot.objects.filter(contents__isnull=False):
        book.stock_scraps(lot.origins.get().from_batch_id, lot.pk, lot.received_grams)
    return book


def _bars_of_now() -> dict[tuple[int, str], dict[BarState, int]]:
    found: dict[tuple[int, str], dict[BarState, int]] = defaultdict(dict)
    for pk, finishes in bar_counts(Batch.objects.values_list("pk", flat=True)).items():
        for finish, now in finishes.items():
            found[pk, finish] = {state: now.at(state) for state in BarState if now.at(state)}
    return dict(found)


def _found(start: Node, kin: list) -> set[Node]:
    """Return what the shop's own trace finds of a lot: every lot down the line, and every batch that holds it."""
    down = descendants([start], kin)
    batches = Holding(down).batches.values_list("pk", flat=True)
    return {lot_node(pk) for pk in of_kind(down, Kind.LOT)} | {batch_node(pk) for pk in batches}


def _one(rows, turn: int):
    found = list(rows.order_by("pk")[:8])
    return found[turn % len(found)] if found else None


def _place(line: Weighing) -> int:
    return line.position - 1


def test_the_shop_allows_nothing_that_a_plain_book_forbids(owner: User, workshop: Workshop):
    run_state_machine_as_test(
        history_of(owner),
        settings=settings(
            max_examples=HISTORIES,
            stateful_step_count=40,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
