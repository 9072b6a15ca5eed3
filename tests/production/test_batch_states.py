"""The drawing of a batch's stages, worked by hand from the shop's own flow; the full matrix is tried."""

from itertools import pairwise, product

import pytest

from production.batch_states import CHOICES, COURSE, LABELS, MOVES, BatchState, may_move, state_after_hold

# The drawing, written out once more and independently of the table under test.
DRAWN = {
    "planned": "in_process cancelled",
    "in_process": "poured held",
    "poured": "cut held",
    "cut": "curing held",
    "curing": "ready_for_review held",
    "ready_for_review": "released held rejected reworked",
    "released": "held",
    "held": "in_process poured cut curing ready_for_review rejected reworked",
    "rejected": "scrapped reworked",
    "scrapped": "",
    "reworked": "",
    "cancelled": "",
}
PAIRS = [(start, end) for start, end in product(DRAWN, DRAWN)]


def test_every_state_is_in_the_drawing():
    assert {state.value for state in BatchState} == set(DRAWN)


@pytest.mark.parametrize(("start", "end"), [pair for pair in PAIRS if pair[1] in DRAWN[pair[0]].split()])
def test_drawn_moves_are_allowed(start, end):
    assert may_move(BatchState(start), BatchState(end)) is None


@pytest.mark.parametrize(("start", "end"), [pair for pair in PAIRS if pair[1] not in DRAWN[pair[0]].split()])
def test_every_other_move_is_refused_with_a_sentence(start, end):
    refusal = may_move(BatchState(start), BatchState(end))
    assert refusal is not None
    assert refusal.endswith(".")
    assert "_" not in refusal


@pytest.mark.parametrize(
    ("start", "end", "sentence"),
    (
        (
            BatchState.POURED,
            BatchState.RELEASED,
            "A batch that is poured cannot become released. It must be ready for review first.",
        ),
        (
            BatchState.RELEASED,
            BatchState.SCRAPPED,
            "A released batch can only be put on hold. Hold it first, then decide.",
        ),
        (
            BatchState.CURING,
            BatchState.POURED,
            "This batch is curing and cannot go back to poured. Put it on hold instead.",
        ),
        (BatchState.CUT, BatchState.CUT, "This batch already is cut. Nothing was changed."),
        (
            BatchState.SCRAPPED,
            BatchState.CURING,
            "This batch was scrapped and its record is closed. Plan a new batch instead.",
        ),
    ),
)
def test_refusals_say_what_must_come_first(start, end, sentence):
    assert may_move(start, end) == sentence


def test_values_from_a_database_row_are_understood():
    assert may_move("planned", "in_process") is None


def test_the_course_is_drawn_from_first_to_last():
    assert [may_move(start, end) for start, end in pairwise(COURSE)] == [None] * 6


def test_choices_carry_value_and_label():
    assert CHOICES[5] == ("ready_for_review", "Ready for review")
    assert len(CHOICES) == len(LABELS) == len(MOVES) == len(BatchState)


@pytest.mark.parametrize(
    ("held_from", "back_to"),
    (
        (BatchState.CURING, BatchState.CURING),
        (BatchState.IN_PROCESS, BatchState.IN_PROCESS),
        (BatchState.RELEASED, BatchState.READY_FOR_REVIEW),
    ),
)
def test_a_cleared_hold_goes_back_and_a_recall_is_reviewed_again(held_from, back_to):
    assert state_after_hold(held_from) == back_to
    assert may_move(BatchState.HELD, back_to) is None


@pytest.mark.parametrize("never_held", (BatchState.PLANNED, BatchState.SCRAPPED, BatchState.CANCELLED))
def test_what_is_never_held_has_no_way_back(never_held):
    with pytest.raises(ValueError, match="is never held"):
        state_after_hold(never_held)
