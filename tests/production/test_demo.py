"""The demo shop: every stage is there, it adds up, and the same day gives the same shop."""

import json
from datetime import date
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import transaction

from formulas.models import Design, Formula
from orders.models import Order
from orders.order_states import OrderState
from production.bar_ledger import BarState, Move, balance_by_finish
from production.batch_states import BatchState
from production.cure.models import BarMove
from production.demo import play_demo
from production.models import Batch, Lot, StockMove

TODAY = date(2026, 11, 25)
LEAP_DAY = date(2028, 2, 29)


def written_shop():
    """Return what the play wrote, without row numbers and moments."""
    return {
        "orders": [[order.number, order.status, str(order.needed_by)] for order in Order.objects.order_by("number")],
        "batches": [
            [batch.number, batch.status, str(batch.pour_on), str(batch.superfat_actual_percent), batch.bars_cut]
            for batch in Batch.objects.order_by("number")
        ],
        "weighed": [
            [move.lot.code, str(move.grams)] for move in StockMove.objects.select_related("lot").order_by("pk")
        ],
        "bars": [[move.finish, move.from_state, move.to_state, move.bars] for move in BarMove.objects.order_by("pk")],
    }


@pytest.fixture
def reference(owner):
    call_command("load_reference", stdout=StringIO())
    return owner


def test_the_same_day_gives_the_same_shop_with_every_stage_in_it(reference):
    with transaction.atomic():
        play_demo(today=TODAY, by=reference)
        first = json.dumps(written_shop())
        transaction.set_rollback(True)
    play_demo(today=TODAY, by=reference)
    assert json.dumps(written_shop()) == first

    assert (Formula.objects.count(), Design.objects.count()) == (7, 7)
    assert {order.status for order in Order.objects.all()} == {state.value for state in OrderState}
    assert {batch.status for batch in Batch.objects.all()} >= {
        BatchState.PLANNED.value,
        BatchState.IN_PROCESS.value,
        BatchState.POURED.value,
        BatchState.CURING.value,
        BatchState.READY_FOR_REVIEW.value,
        BatchState.RELEASED.value,
        BatchState.HELD.value,
    }
    every_lot_adds_up()
    every_bar_is_somewhere()


def test_the_year_can_be_played_on_a_leap_day(reference):
    play_demo(today=LEAP_DAY, by=reference)
    assert Order.objects.order_by("number").last().number == "1017"
    every_bar_is_somewhere()


def every_lot_adds_up():
    for lot in Lot.objects.prefetch_related("moves"):
        assert lot.grams_left == sum(move.grams for move in lot.moves.all())
        assert lot.grams_left >= 0


def every_bar_is_somewhere():
    for batch in Batch.objects.prefetch_related("bar_moves"):
        moves = [
            Move(BarState(move.from_state), BarState(move.to_state), move.bars, move.finish)
            for move in batch.bar_moves.all()
        ]
        made = sum(balance.made for balance in balance_by_finish(moves).values())
        assert made == sum(balance.accounted for balance in balance_by_finish(moves).values())
        assert made == (batch.bars_cut or 0) + (batch.spoiled_at_cut or 0)
