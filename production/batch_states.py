"""The stages of a batch, and the one table that says which may follow which.

Planned → in process → poured → cut → curing → ready for review → released, with holds on the way.
"""

from enum import StrEnum


class BatchState(StrEnum):
    PLANNED = "planned"
    IN_PROCESS = "in_process"
    POURED = "poured"
    CUT = "cut"
    CURING = "curing"
    READY_FOR_REVIEW = "ready_for_review"
    RELEASED = "released"
    HELD = "held"
    REJECTED = "rejected"
    SCRAPPED = "scrapped"
    REWORKED = "reworked"
    CANCELLED = "cancelled"

    @property
    def label(self) -> str:
        return LABELS[self]


LABELS: dict[BatchState, str] = {
    BatchState.PLANNED: "Planned",
    BatchState.IN_PROCESS: "In process",
    BatchState.POURED: "Poured",
    BatchState.CUT: "Cut",
    BatchState.CURING: "Curing",
    BatchState.READY_FOR_REVIEW: "Ready for review",
    BatchState.RELEASED: "Released",
    BatchState.HELD: "On hold",
    BatchState.REJECTED: "Rejected",
    BatchState.SCRAPPED: "Scrapped",
    BatchState.REWORKED: "Reworked",
    BatchState.CANCELLED: "Cancelled",
}

CHOICES: list[tuple[str, str]] = [(state.value, label) for state, label in LABELS.items()]

# The straight way of a batch that meets no trouble.
COURSE: tuple[BatchState, ...] = (
    BatchState.PLANNED,
    BatchState.IN_PROCESS,
    BatchState.POURED,
    BatchState.CUT,
    BatchState.CURING,
    BatchState.READY_FOR_REVIEW,
    BatchState.RELEASED,
)

# A released batch can only be held (a recall); once the hold is cleared it goes through review again.
MOVES: dict[BatchState, frozenset[BatchState]] = {
    BatchState.PLANNED: frozenset({BatchState.IN_PROCESS, BatchState.CANCELLED}),
    BatchState.IN_PROCESS: frozenset({BatchState.POURED, BatchState.HELD}),
    BatchState.POURED: frozenset({BatchState.CUT, BatchState.HELD}),
    BatchState.CUT: frozenset({BatchState.CURING, BatchState.HELD}),
    BatchState.CURING: frozenset({BatchState.READY_FOR_REVIEW, BatchState.HELD}),
    BatchState.READY_FOR_REVIEW: frozenset(
        {BatchState.RELEASED, BatchState.HELD, BatchState.REJECTED, BatchState.REWORKED}
    ),
    BatchState.RELEASED: frozenset({BatchState.HELD}),
    BatchState.HELD: frozenset(
        {
            BatchState.IN_PROCESS,
            BatchState.POURED,
            BatchState.CUT,
            BatchState.CURING,
            BatchState.READY_FOR_REVIEW,
            BatchState.REJECTED,
            BatchState.REWORKED,
        }
    ),
    BatchState.REJECTED: frozenset({BatchState.SCRAPPED, BatchState.REWORKED}),
    BatchState.SCRAPPED: frozenset(),
    BatchState.REWORKED: frozenset(),
    BatchState.CANCELLED: frozenset(),
}

ON_THE_RACK: frozenset[BatchState] = frozenset({BatchState.CUT, BatchState.CURING, BatchState.READY_FOR_REVIEW})
OPEN: frozenset[BatchState] = frozenset(state for state, after in MOVES.items() if after and state != "released")

_ENDED: dict[BatchState, str] = {
    BatchState.SCRAPPED: "This batch was scrapped and its record is closed. Plan a new batch instead.",
    BatchState.REWORKED: "This batch went into a new batch by rework. Go on with that new batch.",
    BatchState.CANCELLED: "This batch was cancelled before it was made. Plan a new batch instead.",
}
_FIRST: dict[BatchState, str] = {
    BatchState.PLANNED: "Plan a new batch instead.",
    BatchState.IN_PROCESS: "Only a planned batch can be started.",
    BatchState.POURED: "Weigh the batch first.",
    BatchState.CUT: "Pour the batch first.",
    BatchState.CURING: "Cut the batch and count its bars first.",
    BatchState.READY_FOR_REVIEW: "The bars must cure first: days over, weights steady and checks entered.",
    BatchState.RELEASED: "It must be ready for review first.",
    BatchState.HELD: "There is nothing to hold here.",
    BatchState.REJECTED: "Put it on hold or bring it to review first.",
    BatchState.SCRAPPED: "Reject it first.",
    BatchState.REWORKED: "Put it on hold or bring it to review first.",
    BatchState.CANCELLED: "Work on it has begun. Put it on hold, then reject it.",
}


def may_move(current: BatchState, target: BatchState) -> str | None:
    """Return None when the move is drawn in the table, else one sentence or two that say what must come first."""
    current, target = BatchState(current), BatchState(target)
    if target in MOVES[current]:
        return None
    if current == target:
        return f"This batch already is {_word(current)}. Nothing was changed."
    if current in _ENDED:
        return _ENDED[current]
    if current == BatchState.RELEASED:
        return "A released batch can only be put on hold. Hold it first, then decide."
    if current in COURSE and target in COURSE and COURSE.index(target) < COURSE.index(current):
        return f"This batch is {_word(current)} and cannot go back to {_word(target)}. Put it on hold instead."
    return f"A batch that is {_word(current)} cannot become {_word(target)}. {_FIRST[target]}"


def state_after_hold(held_from: BatchState) -> BatchState:
    """Return where a cleared hold leads: the stage it was held in; a recalled batch is reviewed again."""
    held_from = BatchState(held_from)
    if held_from == BatchState.RELEASED:
        return BatchState.READY_FOR_REVIEW
    if BatchState.HELD not in MOVES[held_from]:
        raise ValueError(f"A batch that is {_word(held_from)} is never held. Name the stage it was held in.")
    return held_from


def _word(state: BatchState) -> str:
    label = LABELS[state]
    return label[0].lower() + label[1:]
