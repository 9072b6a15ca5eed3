"""What order lines still want by finish, and the free bars on the shelf, as the planner is given them."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date

from formulas.models import Design
from orders.models import OrderLine
from production.batch_states import BatchState
from production.batches.models import Batch
from production.batches.schedule import route_of
from production.cure.bar_counts import bars_with_lines
from production.cure.models import BarMove
from production.cure.order_bars import finishes_of, released_lots
from production.plan.models import WorkWeek
from production.plan.plan_designs import pack_tenths
from production.planning.plan_records import PlanLine, PlanStock


@dataclass
class LineBars:
    """Bars that lie with a line already: all of them, by the finish they have, and by the batch they came from."""

    bars: int = 0
    by_finish: Counter[str] = field(default_factory=Counter)
    by_batch: Counter[int] = field(default_factory=Counter)


def bars_with(line_ids: Iterable[int]) -> dict[int, LineBars]:
    """Return what lies with each of these lines, in one query."""
    found: dict[int, LineBars] = {}
    for held in bars_with_lines(BarMove.objects.filter(line_id__in=list(line_ids))):
        own = found.setdefault(held.line_id, LineBars())
        own.bars += held.bars
        own.by_finish[held.finish] += held.bars
        own.by_batch[held.batch_id] += held.bars
    return found


def open_finishes(asked: Mapping[str, int], there: LineBars) -> dict[str, int]:
    """Return the bars still wanted of each finish; together never more than the line lacks."""
    lacking = max(sum(asked.values()) - there.bars, 0)
    found = {}
    for finish, bars in asked.items():
        still = min(max(bars - there.by_finish[finish], 0), lacking)
        lacking -= still
        if still:
            found[finish] = still
    return found


def wants_of_line(
    line: OrderLine, key: str, *, there: LineBars, due: date, week: WorkWeek, weight: int
) -> Iterator[PlanLine]:
    """Yield the line by finish, each cut into parts that half a day is enough to pack."""
    counts = [
        (finish, part)
        for finish, bars in open_finishes(finishes_of(line), there).items()
        for part in _packed_in_a_day(line, bars, week)
    ]
    for number, (finish, bars) in enumerate(counts, start=1):
        own = key + (f", part {number}" if number > 1 else "")
        yield PlanLine(own, line.design.name, bars, due, weight, finish)


def _packed_in_a_day(line: OrderLine, bars: int, week: WorkWeek) -> list[int]:
    tenths = pack_tenths(route_of(line.design))
    most = max(max(week.minutes_by_weekday) * 5 // tenths, 1) if tenths else max(bars, 1)
    return [min(most, bars - start) for start in range(0, max(bars, 0), most)]


def free_stock(designs: Mapping[int, Design]) -> tuple[PlanStock, ...]:
    """Return the released bars that nobody ordered: by batch and finish, each with its own last day."""
    released = Batch.objects.filter(status=BatchState.RELEASED.value, design_id__in=designs)
    return tuple(
        PlanStock(
            f"{lot.batch} ({lot.finish})",
            designs[int(lot.design)].name,
            lot.bars,
            lot.ready_on,
            lot.use_by,
            lot.finish,
        )
        for lot in released_lots(released)
    )
