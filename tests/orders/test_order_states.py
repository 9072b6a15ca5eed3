"""The drawing of an order's stages, worked by hand; the full matrix is tried."""

from itertools import product

import pytest

from orders.order_states import CHOICES, COURSE, OPEN, PROMISED, OrderState, may_move

DRAWN = {
    "enquiry": "quoted cancelled",
    "quoted": "accepted cancelled",
    "accepted": "in_production cancelled",
    "in_production": "ready cancelled",
    "ready": "packed cancelled",
    "packed": "handed_over cancelled",
    "handed_over": "closed",
    "closed": "",
    "cancelled": "",
}
PAIRS = list(product(DRAWN, DRAWN))


def test_every_state_is_in_the_drawing():
    assert [state.value for state in OrderState] == list(DRAWN)
    assert [value for value, _ in CHOICES] == list(DRAWN)


@pytest.mark.parametrize(("start", "end"), [pair for pair in PAIRS if pair[1] in DRAWN[pair[0]].split()])
def test_drawn_moves_are_allowed(start, end):
    assert may_move(OrderState(start), OrderState(end)) is None


@pytest.mark.parametrize(("start", "end"), [pair for pair in PAIRS if pair[1] not in DRAWN[pair[0]].split()])
def test_every_other_move_is_refused_with_a_sentence(start, end):
    refusal = may_move(OrderState(start), OrderState(end))
    assert refusal is not None
    assert refusal.endswith(".")
    assert "_" not in refusal


@pytest.mark.parametrize(
    ("start", "end", "sentence"),
    (
        (
            OrderState.ENQUIRY,
            OrderState.IN_PRODUCTION,
            "An order that is an enquiry cannot become in production. The customer must accept it first.",
        ),
        (
            OrderState.HANDED_OVER,
            OrderState.CANCELLED,
            "An order that is handed over cannot become cancelled. Record a return or a refund instead.",
        ),
        (
            OrderState.READY,
            OrderState.QUOTED,
            "This order is ready and cannot go back to quoted. "
            "Note the change on the order, or cancel it and start a new one.",
        ),
        (
            OrderState.CANCELLED,
            OrderState.ACCEPTED,
            "This order was cancelled. Start a new order instead.",
        ),
        (OrderState.QUOTED, OrderState.QUOTED, "This order already is quoted. Nothing was changed."),
    ),
)
def test_refusals_say_what_must_come_first(start, end, sentence):
    assert may_move(start, end) == sentence


def test_groups_follow_the_course():
    assert COURSE[0] == OrderState.ENQUIRY
    assert COURSE[-1] == OrderState.CLOSED
    assert {OrderState.ACCEPTED, OrderState.IN_PRODUCTION, OrderState.READY, OrderState.PACKED} == PROMISED
    assert set(OrderState) - OPEN == {OrderState.CLOSED, OrderState.CANCELLED}
