"""Bars are conserved whatever happens to them; the drawing was worked by hand."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from production.bar_ledger import (
    CHOICES,
    MOVES,
    PLACES,
    Balance,
    BarState,
    LedgerError,
    Move,
    balance,
    balance_by_finish,
    judge_move,
)

DRAWN = {
    "made": "in_cure spoiled",
    "in_cure": "released held second retained test spoiled",
    "released": "reserved held second retained test spoiled",
    "reserved": "released packed held spoiled",
    "packed": "reserved shipped held spoiled",
    "shipped": "returned",
    "returned": "held",
    "held": "in_cure released second retained test spoiled",
    "second": "held let_go test spoiled",
    "let_go": "",
    "retained": "test spoiled",
    "test": "",
    "spoiled": "",
}
PAIRS = list(product(DRAWN, DRAWN))
FULL = Balance(100, dict.fromkeys(PLACES, 10))


def move(start, end, bars, **more):
    return Move(BarState(start), BarState(end), bars, **more)


def test_every_state_is_in_the_drawing():
    assert [value for value, _ in CHOICES] == list(DRAWN)
    assert set(MOVES) == set(BarState)


@pytest.mark.parametrize(("start", "end"), [pair for pair in PAIRS if pair[1] in DRAWN[pair[0]].split()])
def test_drawn_moves_are_allowed(start, end):
    assert judge_move(FULL, BarState(start), BarState(end), 10) is None


@pytest.mark.parametrize(("start", "end"), [pair for pair in PAIRS if pair[1] not in DRAWN[pair[0]].split()])
def test_every_other_move_is_refused_with_a_sentence(start, end):
    refusal = judge_move(FULL, BarState(start), BarState(end), 1)
    assert refusal is not None
    assert refusal.endswith(".")
    assert "_" not in refusal


@pytest.mark.parametrize(("start", "end"), [pair for pair in PAIRS if pair[0] in DRAWN[pair[1]].split()])
def test_a_correction_runs_a_drawn_move_backward(start, end):
    assert judge_move(FULL, BarState(start), BarState(end), 1, is_correction=True) is None


def test_a_correction_cannot_invent_a_move():
    assert judge_move(FULL, BarState.SHIPPED, BarState.IN_CURE, 1, is_correction=True) == (
        "There is no move from in cure to shipped that this could put right. "
        "Choose the two places of the move that was wrong."
    )


def test_one_batch_from_cut_to_return_worked_by_hand():
    """40 cut, 1 spoiled, 1 retained, 1 tested, 37 released, 36 reserved, packed and shipped, 2 back and on hold."""
    now = balance(
        [
            move("made", "in_cure", 40),
            move("in_cure", "spoiled", 1),
            move("in_cure", "retained", 1),
            move("in_cure", "test", 1),
            move("in_cure", "released", 37),
            move("released", "reserved", 36),
            move("reserved", "packed", 36),
            move("packed", "shipped", 36),
            move("shipped", "returned", 2),
            move("returned", "held", 2),
        ]
    )
    assert {state.value: bars for state, bars in now.places.items() if bars} == {
        "spoiled": 1,
        "retained": 1,
        "test": 1,
        "released": 1,
        "shipped": 34,
        "held": 2,
    }
    assert (now.made, now.accounted) == (40, 40)


def test_a_miscount_is_put_right_by_the_opposite_move():
    now = balance([move("made", "in_cure", 41), move("in_cure", "made", 1, is_correction=True)])
    assert (now.made, now.at(BarState.IN_CURE), now.accounted) == (40, 40, 40)


@pytest.mark.parametrize(
    ("there", "bars", "sentence"),
    (
        (3, 4, "4 bars cannot move: only 3 are in cure. Enter 3 or fewer, or count again."),
        (1, 2, "2 bars cannot move: only 1 is in cure. Enter 1 or fewer, or count again."),
        (0, 1, "1 bar cannot move: none is in cure. Choose where the bars really are."),
        (3, 0, "A move needs at least one bar. Enter how many bars moved."),
        (3, -2, "A move needs at least one bar. Enter how many bars moved."),
        (3, 3, None),
    ),
)
def test_never_more_bars_than_there_are(there, bars, sentence):
    now = Balance(there, {BarState.IN_CURE: there})
    assert judge_move(now, BarState.IN_CURE, BarState.RELEASED, bars) == sentence


def test_a_history_that_cannot_be_true_is_refused():
    with pytest.raises(LedgerError, match="5 bars cannot move: only 4 are in cure"):
        balance([move("made", "in_cure", 4), move("in_cure", "released", 5)])


def test_finishes_are_counted_apart():
    both = balance_by_finish(
        [
            move("made", "in_cure", 30),
            move("made", "in_cure", 6, finish="topper"),
            move("in_cure", "released", 6, finish="topper"),
        ]
    )
    assert both["plain"].at(BarState.IN_CURE) == 30
    assert both["topper"].at(BarState.RELEASED) == 6


@settings(max_examples=200)
@given(
    st.lists(
        st.tuples(st.sampled_from(BarState), st.sampled_from(BarState), st.integers(-2, 60), st.booleans()),
        max_size=80,
    )
)
def test_bars_are_conserved_in_every_history(wanted):
    """Any list of attempts: what is refused changes nothing, what is written keeps made = the sum of all places."""
    written, now = [], Balance()
    for start, end, bars, is_correction in wanted:
        if judge_move(now, start, end, bars, is_correction=is_correction) is None:
            written.append(Move(start, end, bars, is_correction=is_correction))
            now = balance(written)
        assert now.made == now.accounted
        assert min(now.places.values(), default=0) >= 0
        assert now.made >= 0
