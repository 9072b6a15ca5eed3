"""The stages of a batch of parts, and the one table that says which may follow which."""

from enum import StrEnum


class PartBatchState(StrEnum):
    PLANNED = "planned"
    POURED = "poured"
    SHELVED = "shelved"
    CANCELLED = "cancelled"
    SCRAPPED = "scrapped"

    @property
    def label(self) -> str:
        return LABELS[self]


LABELS: dict[PartBatchState, str] = {
    PartBatchState.PLANNED: "Planned",
    PartBatchState.POURED: "Poured",
    PartBatchState.SHELVED: "On the shelf",
    PartBatchState.CANCELLED: "Cancelled",
    PartBatchState.SCRAPPED: "Scrapped",
}
CHOICES: list[tuple[str, str]] = [(state.value, label) for state, label in LABELS.items()]

MOVES: dict[PartBatchState, frozenset[PartBatchState]] = {
    PartBatchState.PLANNED: frozenset({PartBatchState.POURED, PartBatchState.CANCELLED}),
    PartBatchState.POURED: frozenset({PartBatchState.SHELVED, PartBatchState.SCRAPPED}),
    PartBatchState.SHELVED: frozenset(),
    PartBatchState.CANCELLED: frozenset(),
    PartBatchState.SCRAPPED: frozenset(),
}
_FIRST: dict[PartBatchState, str] = {
    PartBatchState.PLANNED: "Plan a new one.",
    PartBatchState.POURED: "Only a planned one is weighed and poured.",
    PartBatchState.SHELVED: "Weigh and pour it first.",
    PartBatchState.CANCELLED: "What is poured is thrown away instead.",
    PartBatchState.SCRAPPED: "Only what is poured can be thrown away.",
}


def may_move(current: PartBatchState, target: PartBatchState) -> str | None:
    """Return None when the move is drawn in the table, else what is wrong and the mend."""
    current, target = PartBatchState(current), PartBatchState(target)
    if target in MOVES[current]:
        return None
    if current == target:
        return f"This batch of parts already is {current.label.lower()}. Nothing was changed."
    return f"A batch of parts that is {current.label.lower()} cannot become {target.label.lower()}. {_FIRST[target]}"
