"""The states of a lot of material on the shelf, and the one table that says which may follow which.

Only a released lot may be drawn into a batch. Being out of date is not a state: it is judged on the day of use.
A workshop without quarantine makes both first moves in one signed act.
"""

from enum import StrEnum


class LotState(StrEnum):
    RECEIVED = "received"
    QUARANTINE = "quarantine"
    RELEASED = "released"
    HELD = "held"
    REJECTED = "rejected"
    USED_UP = "used_up"

    @property
    def label(self) -> str:
        return LABELS[self]


LABELS: dict[LotState, str] = {
    LotState.RECEIVED: "Received",
    LotState.QUARANTINE: "In quarantine",
    LotState.RELEASED: "Released",
    LotState.HELD: "On hold",
    LotState.REJECTED: "Rejected",
    LotState.USED_UP: "Used up",
}

CHOICES: list[tuple[str, str]] = [(state.value, label) for state, label in LABELS.items()]

MOVES: dict[LotState, frozenset[LotState]] = {
    LotState.RECEIVED: frozenset({LotState.QUARANTINE}),
    LotState.QUARANTINE: frozenset({LotState.RELEASED, LotState.HELD, LotState.REJECTED}),
    LotState.RELEASED: frozenset({LotState.HELD, LotState.USED_UP}),
    LotState.HELD: frozenset({LotState.RELEASED, LotState.REJECTED}),
    LotState.REJECTED: frozenset(),
    LotState.USED_UP: frozenset(),
}

_ENDED: dict[LotState, str] = {
    LotState.REJECTED: "This lot was rejected: it can only go to waste or back to the supplier. Receive a new lot.",
    LotState.USED_UP: "This lot is used up. Receive a new lot.",
}
_FIRST: dict[LotState, str] = {
    LotState.RECEIVED: "Receive a new lot instead.",
    LotState.QUARANTINE: "Only a lot just received goes into quarantine. Put it on hold instead.",
    LotState.RELEASED: "Put it into quarantine and check it first.",
    LotState.HELD: "Put it into quarantine first.",
    LotState.REJECTED: "Check it in quarantine or put it on hold first.",
    LotState.USED_UP: "Only a released lot can be used up. Release it first.",
}


def may_move(current: LotState, target: LotState) -> str | None:
    """Return None when the move is drawn in the table, else one sentence or two that say what must come first."""
    current, target = LotState(current), LotState(target)
    if target in MOVES[current]:
        return None
    if current == target:
        return f"This lot already is {_word(current)}. Nothing was changed."
    if current in _ENDED:
        return _ENDED[current]
    return f"A lot that is {_word(current)} cannot become {_word(target)}. {_FIRST[target]}"


def may_draw(state: LotState) -> str | None:
    """Return None when a lot in this state may be drawn into a batch, else why not and the mend."""
    state = LotState(state)
    if state == LotState.RELEASED:
        return None
    if state in _ENDED:
        return _ENDED[state]
    return f"This lot is {_word(state)}: only a released lot may be used. Release it or choose another lot."


def _word(state: LotState) -> str:
    label = LABELS[state]
    return label[0].lower() + label[1:]
