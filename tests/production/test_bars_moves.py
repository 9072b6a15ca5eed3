"""Bars taken out of a batch: samples, tests, spoiled ones. Made is always the sum of the places."""

from datetime import date
from random import Random
from uuid import uuid4

import pytest

from orders.actions import OrderRefusal
from production.bar_ledger import BarState, LedgerError, Move, balance
from production.batches.actions.after_pour import clear_hold, hold_batch
from production.batches.asked import BatchRefusal
from production.batches.models import Batch
from production.cure.actions.bars import SET_ASIDE, retain_sample, set_bars_aside, spoil_bars
from production.cure.actions.finishing import change_finish
from production.cure.actions.judging import let_seconds_go, put_back_bars, return_bars
from production.cure.actions.packing import hand_over, pack_order
from production.cure.actions.reserving import allocate_bars, give_back
from production.cure.actions.review import reject_batch, release_batch
from production.cure.models import BarMove
from production.cure.refusal import CureRefusal
from tests.production.cure_builders import READY_DAY, make_cut, make_design, make_order, make_ready, places


@pytest.fixture
def order(owner, workshop):
    return make_order(make_design(owner), 8, needed_by=date(2026, 5, 20), by=owner, parts={"seal": 4})


@pytest.fixture
def batch(order, owner):
    return make_cut(order, by=owner, bars={"seal": 4, "plain": 7})


def test_samples_tests_and_spoiled_bars_leave_the_count_whole(batch, maker):
    retain_sample(batch_id=batch.pk, finish="plain", from_state=BarState.IN_CURE, bars=1, by=maker)
    spoil_bars(batch_id=batch.pk, finish="seal", from_state=BarState.IN_CURE, bars=2, note="cracked", by=maker)
    set_bars_aside(
        batch_id=batch.pk,
        finish="plain",
        from_state=BarState.RETAINED,
        to_state=BarState.TEST,
        bars=1,
        note="yearly look",
        by=maker,
    )
    assert places(batch) == {
        "plain": {"in_cure": 6, "test": 1, "spoiled": 1},
        "seal": {"in_cure": 2, "spoiled": 2},
    }


@pytest.mark.parametrize(
    ("asked", "words"),
    (
        ({"bars": 8}, "8 bars cannot move: only 7 are in cure. Enter 7 or fewer, or count again."),
        ({"bars": 0}, "A move needs at least one bar. Enter how many bars moved."),
        ({"finish": "shell"}, "has no bars of that finish"),
        ({"note": "  "}, "Say in a few words why"),
        (
            {"to_state": BarState.RELEASED},
            "Choose what becomes of the bars: on hold, seconds, a sample, a test, or spoiled.",
        ),
        ({"from_state": BarState.RESERVED}, "These bars are kept for an order. Give them back there first."),
        ({"from_state": BarState.RELEASED}, "1 bar cannot move: none is released."),
    ),
)
def test_moves_that_cannot_be_are_refused_and_change_nothing(batch, maker, asked, words):
    before = places(batch)
    usual = {
        "batch_id": batch.pk,
        "finish": "plain",
        "from_state": BarState.IN_CURE,
        "to_state": BarState.SPOILED,
        "bars": 1,
        "note": "cracked",
        "by": maker,
    }
    with pytest.raises(CureRefusal) as refusal:
        set_bars_aside(**(usual | asked))
    assert words in str(refusal.value)
    assert places(batch) == before


def test_a_form_sent_twice_moves_bars_once(batch, maker):
    once = uuid4()
    for _ in range(2):
        set_bars_aside(
            batch_id=batch.pk,
            finish="plain",
            from_state=BarState.IN_CURE,
            to_state=BarState.SPOILED,
            bars=2,
            note="cracked",
            by=maker,
            typed_once=once,
        )
    assert places(batch)["plain"] == {"in_cure": 5, "spoiled": 3}


def test_bars_written_off_during_a_hold_do_not_come_back(batch, owner):
    hold_batch(batch_id=batch.pk, reason="spots", by=owner)
    spoil_bars(batch_id=batch.pk, finish="plain", from_state=BarState.HELD, bars=3, note="spotted", by=owner)
    clear_hold(batch_id=batch.pk, words="the rest is fine", by=owner)
    assert places(batch) == {"plain": {"in_cure": 4, "spoiled": 4}, "seal": {"in_cure": 4}}


def test_two_holds_after_each_other_each_bring_their_own_bars_back(batch, owner):
    for _ in range(2):
        hold_batch(batch_id=batch.pk, reason="spots", by=owner)
        assert places(batch)["plain"] == {"held": 7, "spoiled": 1}
        clear_hold(batch_id=batch.pk, words="looked again", by=owner)
        assert places(batch)["plain"] == {"in_cure": 7, "spoiled": 1}


def history_is_sound(batch):
    """Replay every move in its order through the pure ledger, which refuses a place below zero."""
    by_finish: dict[str, list[Move]] = {}
    for move in BarMove.objects.filter(batch=batch).order_by("pk"):
        by_finish.setdefault(move.finish, []).append(
            Move(
                BarState(move.from_state),
                BarState(move.to_state),
                move.bars,
                move.finish,
                is_correction=move.is_correction,
            )
        )
    for moves in by_finish.values():
        now = balance(moves)
        assert now.made == now.accounted


@pytest.mark.parametrize("seed", range(4))
def test_any_history_keeps_every_bar(order, batch, owner, seed):
    """Random verbs in any order: each is done whole or refused whole, and no bar is made or lost."""
    make_ready(batch, by=owner)
    chance = Random(seed)
    line = order.lines.get()
    verbs = (
        lambda: release_batch(batch_id=batch.pk, words="all clear", today=READY_DAY, by=owner),
        lambda: hold_batch(batch_id=batch.pk, reason="spots", by=owner),
        lambda: clear_hold(batch_id=batch.pk, words="fine", by=owner),
        lambda: allocate_bars(order_id=order.pk, today=READY_DAY, by=owner),
        lambda: pack_order(order_id=order.pk, by=owner, is_part=chance.random() < 0.5),
        lambda: hand_over(order_id=order.pk, by=owner),
        lambda: give_back(
            order_id=order.pk,
            line_id=line.pk,
            batch_id=batch.pk,
            finish=chance.choice(("plain", "seal")),
            bars=chance.randint(1, 5),
            reason="changed",
            by=owner,
        ),
        lambda: set_bars_aside(
            batch_id=batch.pk,
            finish=chance.choice(("plain", "seal")),
            from_state=chance.choice((BarState.IN_CURE, BarState.RELEASED, BarState.HELD, BarState.RETAINED)),
            to_state=chance.choice(SET_ASIDE),
            bars=chance.randint(1, 2),
            note="random",
            by=owner,
        ),
        lambda: return_bars(
            order_id=order.pk,
            line_id=line.pk,
            batch_id=batch.pk,
            finish=chance.choice(("plain", "seal")),
            bars=chance.randint(1, 3),
            reason="too strong",
            by=owner,
        ),
        lambda: put_back_bars(
            batch_id=batch.pk,
            finish=chance.choice(("plain", "seal")),
            from_state=chance.choice((BarState.HELD, BarState.RETURNED)),
            bars=1,
            words="looks sound",
            by=owner,
        ),
        lambda: let_seconds_go(batch_id=batch.pk, finish="plain", bars=1, to_whom="school fair", by=owner),
        lambda: change_finish(
            batch_id=batch.pk,
            finish="seal",
            from_state=chance.choice((BarState.IN_CURE, BarState.RELEASED)),
            to_finish="plain",
            bars=1,
            on=READY_DAY,
            by=owner,
            reason="the seal broke",
        ),
        lambda: reject_batch(batch_id=batch.pk, words="rancid", by=owner) if chance.random() < 0.1 else None,
    )
    done = refused = 0
    for _ in range(60):
        try:
            chance.choice(verbs)()
            done += 1
        except (BatchRefusal, OrderRefusal):
            refused += 1
        places(batch)
    history_is_sound(batch)
    assert done > 5
    assert refused > 5
    assert sum(sum(found.values()) for found in places(batch).values()) == 12


def test_the_replay_would_notice_a_bar_made_of_nothing(batch, owner):
    BarMove.objects.create(batch=batch, finish="plain", from_state="in_cure", to_state="released", bars=900, by=owner)
    with pytest.raises(LedgerError):
        history_is_sound(batch)
    assert Batch.objects.count() == 1
