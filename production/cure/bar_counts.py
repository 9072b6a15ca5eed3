"""Rows of the bar ledger added up: what each batch holds by finish, and what lies with each order line."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from django.db.models import QuerySet, Sum

from production.bar_ledger import Balance, BarState
from production.cure.models import BarMove

WITH_A_LINE = (BarState.RESERVED, BarState.PACKED, BarState.SHIPPED)


@dataclass(frozen=True)
class Held:
    """Bars of one batch and finish that lie with one order line: reserved, packed or already handed over."""

    line_id: int
    batch_id: int
    batch_number: str
    finish: str
    reserved: int = 0
    packed: int = 0
    shipped: int = 0

    @property
    def bars(self) -> int:
        return self.reserved + self.packed + self.shipped

    @property
    def here(self) -> int:
        return self.reserved + self.packed

    @property
    def key(self) -> str:
        """Names this row in a form."""
        return f"{self.line_id}|{self.batch_id}|{self.finish}"


def bar_counts(batch_ids: Iterable[int]) -> dict[int, dict[str, Balance]]:
    """Return the balance of each batch by finish, in one query for all of them."""
    return _counted(BarMove.objects.filter(batch_id__in=list(batch_ids)))


def counts_in_states(batch_states: Iterable[str]) -> dict[int, dict[str, Balance]]:
    """Return the balance by finish of every batch in these states, in one query."""
    return _counted(BarMove.objects.filter(batch__status__in=list(batch_states)))


def _counted(moves: QuerySet[BarMove]) -> dict[int, dict[str, Balance]]:
    counts: defaultdict[tuple[int, str], defaultdict[BarState, int]] = defaultdict(lambda: defaultdict(int))
    for row in (
        moves.order_by("batch_id", "finish")
        .values("batch_id", "finish", "from_state", "to_state")
        .annotate(count=Sum("bars"))
    ):
        own = counts[row["batch_id"], row["finish"]]
        own[BarState(row["from_state"])] -= row["count"]
        own[BarState(row["to_state"])] += row["count"]
    found: dict[int, dict[str, Balance]] = {}
    for (batch_id, finish), own in counts.items():
        made = -own.pop(BarState.MADE, 0)
        found.setdefault(batch_id, {})[finish] = Balance(made, dict(own))
    return found


def bars_with_lines(moves: QuerySet[BarMove]) -> list[Held]:
    """Return what lies with each order line among these moves, in one query."""
    counts: defaultdict[tuple[int, int, str, str], defaultdict[BarState, int]] = defaultdict(lambda: defaultdict(int))
    rows = (
        moves.filter(line__isnull=False)
        .order_by("batch__number", "finish", "line_id")
        .values("line_id", "batch_id", "batch__number", "finish", "from_state", "to_state")
        .annotate(count=Sum("bars"))
    )
    for row in rows:
        own = counts[row["line_id"], row["batch_id"], row["batch__number"], row["finish"]]
        own[BarState(row["from_state"])] -= row["count"]
        own[BarState(row["to_state"])] += row["count"]
    held = [Held(*place, *(own[state] for state in WITH_A_LINE)) for place, own in counts.items()]
    return [each for each in held if each.bars]


def finish_words(finish: str, names: Mapping[str, str] = MappingProxyType({})) -> str:
    """Return a finish as people read it, by the names of its parts where they are at hand."""
    return " + ".join(names.get(key, key.replace("-", " ")) for key in finish.split("+"))
