"""What batches already give each order line: bars by line, bars with each part, and the batches themselves."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from production.bar_ledger import Balance, BarState
from production.batch_states import BatchState
from production.batches.models import Batch, BatchFor
from production.cure.bar_counts import bar_counts, bars_with_lines
from production.cure.models import BarMove

GONE = (BatchState.CANCELLED.value, BatchState.REJECTED.value, BatchState.SCRAPPED.value, BatchState.REWORKED.value)
LOST = (BarState.SPOILED, BarState.TEST, BarState.RETAINED)


@dataclass
class PlannedFor:
    """What one line gets. ``bars`` are promised by live batches or lie with the line already."""

    bars: int = 0
    bars_with_part: Counter[str] = field(default_factory=Counter)
    batches: list[Batch] = field(default_factory=list)


def planned_for(line_ids: Iterable[int]) -> defaultdict[int, PlannedFor]:
    """Return what live batches and the shelf give to each line; three queries.

    A batch that gave fewer bars than planned counts with what it gave, so that the rest can be planned again.
    """
    ids = list(line_ids)
    serves = BatchFor.objects.filter(line_id__in=ids).exclude(batch__status__in=GONE).select_related("batch")
    served = list(serves.order_by("batch__pour_on", "batch__number"))
    left = {
        batch_id: _bars_left(by_finish.values())
        for batch_id, by_finish in bar_counts({each.batch_id for each in served}).items()
    }
    found: defaultdict[int, PlannedFor] = defaultdict(PlannedFor)
    for each in served:
        own = found[each.line_id]
        own.batches.append(each.batch)
        bars = min(each.bars, left.get(each.batch_id, each.bars))
        left[each.batch_id] = left.get(each.batch_id, each.batch.planned_bars) - bars
        own.bars += bars
        for finish in each.batch.frozen["finishes"]:
            own.bars_with_part.update(dict.fromkeys(finish["part_keys"], finish["bars"]))
    _add_bars_from_elsewhere(found, ids)
    return found


def _bars_left(finishes: Iterable[Balance]) -> int:
    return sum(balance.made - sum(balance.at(state) for state in LOST) for balance in finishes)


def _add_bars_from_elsewhere(found: defaultdict[int, PlannedFor], line_ids: list[int]) -> None:
    """Bars taken from the shelf for a line, from a batch that was not planned for it, need no pour."""
    for held in bars_with_lines(BarMove.objects.filter(line_id__in=line_ids)):
        own = found[held.line_id]
        if held.batch_id not in {batch.pk for batch in own.batches}:
            own.bars += held.bars
            if held.finish != "plain":
                own.bars_with_part.update(dict.fromkeys(held.finish.split("+"), held.bars))
