"""The drawing of a lot's states, worked by hand; the full matrix is tried."""

from itertools import product

import pytest

from production.lot_states import CHOICES, LotState, may_draw, may_move

DRAWN = {
    "received": "quarantine",
    "quarantine": "released held rejected",
    "released": "held used_up",
    "held": "released rejected",
    "rejected": "",
    "used_up": "",
}
PAIRS = list(product(DRAWN, DRAWN))


def test_every_state_is_in_the_drawing():
    assert [state.value for state in LotState] == list(DRAWN)
    assert [value for value, _ in CHOICES] == list(DRAWN)


@pytest.mark.parametrize(("start", "end"), [pair for pair in PAIRS if pair[1] in DRAWN[pair[0]].split()])
def test_drawn_moves_are_allowed(start, end):
    assert may_move(LotState(start), LotState(end)) is None


@pytest.mark.parametrize(("start", "end"), [pair for pair in PAIRS if pair[1] not in DRAWN[pair[0]].split()])
def test_every_other_move_is_refused_with_a_sentence(start, end):
    refusal = may_move(LotState(start), LotState(end))
    assert refusal is not None
    assert refusal.endswith(".")
    assert "_" not in refusal


def test_release_on_receipt_is_two_moves():
    assert may_move(LotState.RECEIVED, LotState.RELEASED) == (
        "A lot that is received cannot become released. Put it into quarantine and check it first."
    )


def test_only_a_released_lot_may_be_drawn():
    assert {state: may_draw(state) for state in LotState} == {
        LotState.RECEIVED: "This lot is received: only a released lot may be used. Release it or choose another lot.",
        LotState.QUARANTINE: (
            "This lot is in quarantine: only a released lot may be used. Release it or choose another lot."
        ),
        LotState.RELEASED: None,
        LotState.HELD: "This lot is on hold: only a released lot may be used. Release it or choose another lot.",
        LotState.REJECTED: (
            "This lot was rejected: it can only go to waste or back to the supplier. Receive a new lot."
        ),
        LotState.USED_UP: "This lot is used up. Receive a new lot.",
    }
