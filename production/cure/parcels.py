"""What lies in each parcel of an order: the moves that name it, added up."""

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import QuerySet, Sum

from production.bar_ledger import BarState
from production.cure.models import BarMove


@dataclass(frozen=True)
class ParcelLot:
    """Bars of one line, batch and finish in one parcel: still here, or handed over and not sent back."""

    parcel_id: int
    line_id: int
    batch_id: int
    batch_number: str
    finish: str
    packed: int = 0
    shipped: int = 0
    returned: int = 0

    @property
    def bars(self) -> int:
        """All that was in the parcel when it left, or is in it now."""
        return self.packed + self.shipped + self.returned


def parcel_lots(moves: QuerySet[BarMove]) -> list[ParcelLot]:
    """Return the contents of every parcel named by these moves, in one query."""
    counts: defaultdict[tuple[int, int, int, str, str], defaultdict[str, int]] = defaultdict(lambda: defaultdict(int))
    rows = (
        moves.filter(parcel__isnull=False)
        .order_by("parcel_id", "batch__number", "finish", "line_id")
        .values("parcel_id", "line_id", "batch_id", "batch__number", "finish", "from_state", "to_state")
        .annotate(count=Sum("bars"))
    )
    for row in rows:
        place = (row["parcel_id"], row["line_id"], row["batch_id"], row["batch__number"], row["finish"])
        counts[place][row["from_state"]] -= row["count"]
        counts[place][row["to_state"]] += row["count"]
    states = (BarState.PACKED.value, BarState.SHIPPED.value, BarState.RETURNED.value)
    found = [ParcelLot(*place, *(own[state] for state in states)) for place, own in counts.items()]
    return [lot for lot in found if lot.bars]


def from_parcels(
    *, line_id: int, batch_id: int, finish: str, state: BarState, bars: int
) -> list[tuple[int | None, int]]:
    """Say which parcels these packed (or shipped) bars are taken out of, the newest first, and how many of each."""
    moves = BarMove.objects.filter(line_id=line_id, batch_id=batch_id, finish=finish)
    left = bars
    found: list[tuple[int | None, int]] = []
    for lot in sorted(parcel_lots(moves), key=lambda lot: -lot.parcel_id):
        there = lot.packed if state == BarState.PACKED else lot.shipped
        taken = min(there, left)
        if taken > 0:
            found.append((lot.parcel_id, taken))
            left -= taken
    return [*found, (None, left)] if left else found
