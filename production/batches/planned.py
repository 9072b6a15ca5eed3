"""What batches already give each order line: bars by line, bars with each part, and the batches themselves."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from django.db.models import F, Q, Sum

from production.bar_ledger import OUT_OF_SALE, PLAIN, BarState
from production.batch_states import BatchState
from production.batches.models import Batch, BatchFor
from production.cure.models import BarMove

GONE = (BatchState.CANCELLED.value, BatchState.REJECTED.value, BatchState.SCRAPPED.value, BatchState.REWORKED.value)
LOST = tuple(state.value for state in (*OUT_OF_SALE, BarState.RETURNED))
WITH_A_LINE = (BarState.RESERVED.value, BarState.PACKED.value, BarState.SHIPPED.value)


@dataclass
class PlannedFor:
    """What one line gets. ``bars`` are promised by live batches or lie with the line already."""

    bars: int = 0
    bars_with_part: Counter[str] = field(default_factory=Counter)
    batches: list[Batch] = field(default_factory=list)


@dataclass
class _Bars:
    """Bars that a cut batch has left, and bars that lie with a line, by batch and finish."""

    left: Counter[int] = field(default_factory=Counter)
    with_line: Counter[tuple[int, int, str]] = field(default_factory=Counter)


def planned_for(line_ids: Iterable[int]) -> defaultdict[int, PlannedFor]:
    """Return what live batches and the shelf give to each line; two queries.

    A batch that gave fewer bars than planned counts with what it gave, so that the rest can be planned again.
    """
    ids = list(line_ids)
    serves = BatchFor.objects.filter(line_id__in=ids).exclude(batch__status__in=GONE).select_related("batch")
    served = list(
        serves.defer("batch__frozen")
        .annotate(finishes=F("batch__frozen__finishes"))
        .order_by("batch__pour_on", "batch__number")
    )
    bars = _bars(ids, {each.batch_id for each in served})
    found: defaultdict[int, PlannedFor] = defaultdict(PlannedFor)
    for each in served:
        own = found[each.line_id]
        own.batches.append(each.batch)
        given = each.bars if each.batch.cut_on is None else min(each.bars, bars.left[each.batch_id])
        bars.left[each.batch_id] -= given
        own.bars += given
        for finish in each.finishes:
            own.bars_with_part.update(dict.fromkeys(finish["part_keys"], finish["bars"]))
    _add_bars_from_elsewhere(found, bars)
    return found


def _bars(line_ids: list[int], batch_ids: set[int]) -> _Bars:
    """Add up the moves of these batches and lines."""
    found = _Bars()
    moves = BarMove.objects.filter(Q(batch_id__in=batch_ids) | Q(line_id__in=line_ids)).order_by()
    for batch_id, line_id, finish, start, end, count in moves.values_list(
        "batch_id", "line_id", "finish", "from_state", "to_state"
    ).annotate(count=Sum("bars")):
        found.left[batch_id] += count * ((start == BarState.MADE.value) - (end in LOST) + (start in LOST))
        if line_id is not None:
            found.with_line[line_id, batch_id, finish] += count * ((end in WITH_A_LINE) - (start in WITH_A_LINE))
    return found


def _add_bars_from_elsewhere(found: defaultdict[int, PlannedFor], bars: _Bars) -> None:
    """Bars taken from the shelf for a line, from a batch that was not planned for it, need no pour."""
    for (line_id, batch_id, finish), count in bars.with_line.items():
        own = found[line_id]
        if count and batch_id not in {batch.pk for batch in own.batches}:
            own.bars += count
            if finish != PLAIN:
                own.bars_with_part.update(dict.fromkeys(finish.split("+"), count))
