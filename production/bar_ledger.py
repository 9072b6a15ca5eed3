"""Where the bars of a batch are: an append-only list of moves, and the rules a move must keep.

At all times: made = in cure + released + reserved + packed + shipped + returned + held + seconds + given away +
retained + test + spoiled.
A mistake is never erased: it is put right by the opposite move, marked as a correction.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum


class BarState(StrEnum):
    MADE = "made"
    IN_CURE = "in_cure"
    RELEASED = "released"
    RESERVED = "reserved"
    PACKED = "packed"
    SHIPPED = "shipped"
    RETURNED = "returned"
    HELD = "held"
    SECOND = "second"
    LET_GO = "let_go"
    RETAINED = "retained"
    TEST = "test"
    SPOILED = "spoiled"

    @property
    def label(self) -> str:
        return LABELS[self]


LABELS: dict[BarState, str] = {
    BarState.MADE: "Made",
    BarState.IN_CURE: "In cure",
    BarState.RELEASED: "Released",
    BarState.RESERVED: "Reserved",
    BarState.PACKED: "Packed",
    BarState.SHIPPED: "Shipped",
    BarState.RETURNED: "Returned",
    BarState.HELD: "On hold",
    BarState.SECOND: "Seconds",
    BarState.LET_GO: "Given away or sold as seconds",
    BarState.RETAINED: "Retained sample",
    BarState.TEST: "Used for a test",
    BarState.SPOILED: "Spoiled",
}

CHOICES: list[tuple[str, str]] = [(state.value, label) for state, label in LABELS.items()]

PLAIN = "plain"

# "Made" is the source every bar comes from; the other states are the places where bars can be.
PLACES: tuple[BarState, ...] = tuple(state for state in BarState if state != BarState.MADE)

# Bars that no order gets any more; those on hold may still come back.
OUT_OF_SALE: tuple[BarState, ...] = (
    BarState.SECOND,
    BarState.LET_GO,
    BarState.RETAINED,
    BarState.TEST,
    BarState.SPOILED,
)

_OUT_OF_USE = frozenset({BarState.HELD, BarState.SECOND, BarState.RETAINED, BarState.TEST, BarState.SPOILED})
MOVES: dict[BarState, frozenset[BarState]] = {
    BarState.MADE: frozenset({BarState.IN_CURE, BarState.SPOILED}),
    BarState.IN_CURE: frozenset({BarState.RELEASED}) | _OUT_OF_USE,
    BarState.RELEASED: frozenset({BarState.RESERVED}) | _OUT_OF_USE,
    BarState.RESERVED: frozenset({BarState.RELEASED, BarState.PACKED, BarState.HELD, BarState.SPOILED}),
    BarState.PACKED: frozenset({BarState.RESERVED, BarState.SHIPPED, BarState.HELD, BarState.SPOILED}),
    BarState.SHIPPED: frozenset({BarState.RETURNED}),
    BarState.RETURNED: frozenset({BarState.HELD}),
    BarState.HELD: frozenset({BarState.IN_CURE, BarState.RELEASED}) | (_OUT_OF_USE - {BarState.HELD}),
    BarState.SECOND: frozenset({BarState.HELD, BarState.LET_GO, BarState.TEST, BarState.SPOILED}),
    BarState.LET_GO: frozenset(),
    BarState.RETAINED: frozenset({BarState.TEST, BarState.SPOILED}),
    BarState.TEST: frozenset(),
    BarState.SPOILED: frozenset(),
}

_FIRST: dict[BarState, str] = {
    BarState.MADE: "Count new bars at the cut instead.",
    BarState.IN_CURE: "Only bars just cut, or bars on hold, go on the rack.",
    BarState.RELEASED: "Bars are released from the rack, from a hold, or given back by an order.",
    BarState.RESERVED: "Release the bars first, then reserve them.",
    BarState.PACKED: "Reserve the bars for an order first.",
    BarState.SHIPPED: "Pack the bars first.",
    BarState.RETURNED: "Only bars that were shipped can come back.",
    BarState.HELD: "Bars that come back are entered as returned first.",
    BarState.SECOND: "Take seconds from the rack, from released bars or from a hold.",
    BarState.LET_GO: "Set the bars aside as seconds first.",
    BarState.RETAINED: "Take the sample from the rack, from released bars or from a hold.",
    BarState.TEST: "Take the bar from the rack, from released bars, from a hold or from the retained samples.",
    BarState.SPOILED: "Put the bars on hold first.",
}


class LedgerError(ValueError):
    """The moves of a batch cannot all be true; the message is for people."""


@dataclass(frozen=True)
class Move:
    """Some bars of one finish that went from one state to another. `order_line` names the line they are kept for."""

    from_state: BarState
    to_state: BarState
    bars: int
    finish: str = PLAIN
    order_line: str = ""
    is_correction: bool = False


@dataclass(frozen=True)
class Balance:
    """How many bars were made and where they are now."""

    made: int = 0
    places: Mapping[BarState, int] = field(default_factory=dict)

    def at(self, state: BarState) -> int:
        return self.made if state == BarState.MADE else self.places.get(BarState(state), 0)

    @property
    def accounted(self) -> int:
        """All bars that are somewhere: always equal to the bars made."""
        return sum(self.places.values())


def balance(moves: Iterable[Move]) -> Balance:
    """Add up the moves; refuse a history in which a place ever held fewer bars than none."""
    result = Balance()
    for move in moves:
        refusal = judge_move(result, move.from_state, move.to_state, move.bars, is_correction=move.is_correction)
        if refusal:
            raise LedgerError(refusal)
        result = _after(result, move)
    return result


def balance_by_finish(moves: Iterable[Move]) -> dict[str, Balance]:
    """Add up the moves of each finish on its own, in order of first appearance."""
    by_finish: dict[str, list[Move]] = {}
    for move in moves:
        by_finish.setdefault(move.finish, []).append(move)
    return {finish: balance(own) for finish, own in by_finish.items()}


def judge_move(
    now: Balance, from_state: BarState, to_state: BarState, bars: int, *, is_correction: bool = False
) -> str | None:
    """Return None when the move may be written, else what is wrong and the mend."""
    start, end = BarState(from_state), BarState(to_state)
    if bars < 1:
        return "A move needs at least one bar. Enter how many bars moved."
    drawn = start in MOVES[end] if is_correction else end in MOVES[start]
    if not drawn:
        return _not_drawn(start, end, is_correction=is_correction)
    there = now.at(start)
    if start != BarState.MADE and bars > there:
        mend = f"Enter {there} or fewer, or count again." if there else "Choose where the bars really are."
        return f"{_bars(bars)} cannot move: {_count(there)} {_place(start)}. {mend}"
    return None


def _after(now: Balance, move: Move) -> Balance:
    places = dict(now.places)
    made = now.made
    if move.from_state == BarState.MADE:
        made += move.bars
    else:
        places[move.from_state] = places.get(move.from_state, 0) - move.bars
    if move.to_state == BarState.MADE:
        made -= move.bars
    else:
        places[move.to_state] = places.get(move.to_state, 0) + move.bars
    return Balance(made, places)


def _not_drawn(start: BarState, end: BarState, *, is_correction: bool) -> str:
    if start == end:
        return "The bars already are there. Choose where they go."
    if is_correction:
        return (
            f"There is no move from {_word(end)} to {_word(start)} that this could put right. "
            "Choose the two places of the move that was wrong."
        )
    return f"Bars cannot go from {_word(start)} to {_word(end)}. {_FIRST[end]}"


def _bars(count: int) -> str:
    return "1 bar" if count == 1 else f"{count} bars"


def _count(count: int) -> str:
    if count == 0:
        return "none is"
    return "only 1 is" if count == 1 else f"only {count} are"


def _place(state: BarState) -> str:
    places = {
        BarState.IN_CURE: "in cure",
        BarState.HELD: "on hold",
        BarState.SECOND: "set aside as seconds",
        BarState.LET_GO: "entered as given away",
        BarState.RETAINED: "kept as retained samples",
        BarState.TEST: "entered as used for a test",
    }
    return places.get(state, _word(state))


def _word(state: BarState) -> str:
    label = LABELS[state]
    return label[0].lower() + label[1:]
