"""What the cure rack shows: every batch in cure, how far it is, what it waits for, and who waits for it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from django.db.models import Q

from formulas.drawing import Picture
from production.batch_states import ON_THE_RACK, BatchState
from production.batches.models import Batch
from production.cure.bar_counts import counts_in_states
from production.cure.course import course_svg, last_day
from production.cure.rack_plans import part_names
from production.cure.rack_rows import (
    CURING,
    HELD,
    RackRow,
    ShelfRow,
    finish_rows,
    rack_row,
    shelf_row,
)
from production.cure.records import MOST_BATCHES_READ, curing_batches, for_rack, teaching_batches
from production.plan.models import WorkWeek

THIS_WEEK = timedelta(days=7)
SHOWN = {"all": "All", "ready": "Ready", "week": "Ready this week", "waiting": "Waiting", "late": "Late"}


@dataclass(frozen=True)
class Rack:
    """The whole rack on one day."""

    rows: tuple[RackRow, ...]
    shelf: tuple[ShelfRow, ...]
    today: date
    places: int = 0

    @cached_property
    def ready(self) -> list[RackRow]:
        return [row for row in self.rows if row.is_ready]

    @cached_property
    def bars(self) -> int:
        """Bars that take a place on the rack."""
        return sum(row.bars for row in self.rows)

    @cached_property
    def bars_over(self) -> int:
        return max(self.bars - self.places, 0)

    @cached_property
    def ready_bars(self) -> int:
        return sum(row.bars for row in self.ready)

    @cached_property
    def this_week(self) -> list[RackRow]:
        last = self.today + THIS_WEEK
        return [row for row in self.rows if row.word == CURING and row.ready_on <= last]

    @cached_property
    def late(self) -> list[RackRow]:
        return [row for row in self.rows if row.is_late]

    @cached_property
    def held(self) -> list[RackRow]:
        return [row for row in self.rows if row.word == HELD]

    @cached_property
    def next_row(self) -> RackRow | None:
        curing = [row for row in self.rows if row.word == CURING]
        return min(curing, key=lambda row: (row.ready_on, row.batch.number), default=None)

    @cached_property
    def free_bars(self) -> int:
        return sum(row.free for row in self.shelf)

    @cached_property
    def near_their_end(self) -> list[ShelfRow]:
        """Released batches whose bars are near, or past, the day they are best before."""
        return [row for row in self.shelf if row.keeps]

    @cached_property
    def can_be_noted(self) -> int:
        """Batches that are ready by the facts and not noted as such yet."""
        return sum(1 for row in self.rows if row.is_ready and row.batch.state == BatchState.CURING)

    def courses(self, rows: Iterable[RackRow]) -> list[tuple[RackRow, Picture]]:
        """Return rows with the picture of their course, all on the scale of the whole rack."""
        return [(row, course_svg(row.course(), last=self._last_day)) for row in rows]

    @cached_property
    def _last_day(self) -> int:
        return last_day(tuple(row.course() for row in self.rows))

    def shown(self, which: str) -> list[RackRow]:
        by_name = {"ready": self.ready, "week": self.this_week, "late": self.late}
        if which == "waiting":
            return [row for row in self.rows if not row.is_ready]
        return by_name.get(which, list(self.rows))


def read_rack(*, today: date, places: int | None = None) -> Rack:
    """Read every batch that is in cure or lies released in the house; a fixed number of queries.

    ``places`` is how many bars the rack holds, where that was read already.
    """
    rack_places = WorkWeek.current().rack_bars if places is None else places
    states = [state.value for state in (*ON_THE_RACK, BatchState.HELD)]
    balances = counts_in_states([*states, BatchState.RELEASED.value])
    here = {pk for pk, found in balances.items() if sum(count.here for count in finish_rows(found, {}))}
    taught_by = teaching_batches(today=today).values("pk")[:MOST_BATCHES_READ]
    wanted = Q(status__in=states) | Q(pk__in=here) | Q(pk__in=taught_by)
    batches = list(for_rack(Batch.objects.filter(wanted, cut_on__isnull=False)).order_by("-poured_on", "-pk"))
    counts = {batch.pk: finish_rows(balances.get(batch.pk, {}), part_names(batch)) for batch in batches}
    on_rack = [batch for batch in batches if batch.state != BatchState.RELEASED]
    released = [batch for batch in batches if batch.state == BatchState.RELEASED]
    rows = [
        rack_row(curing, counts[curing.batch.pk]) for curing in curing_batches(on_rack, today=today, finished=released)
    ]
    shelf = [
        shelf_row(batch, counts[batch.pk], today=today)
        for batch in sorted(released, key=lambda each: each.number)
        if batch.pk in here
    ]
    return Rack(tuple(sorted(rows, key=_most_needed)), tuple(shelf), today, rack_places)


def _most_needed(row: RackRow) -> tuple[bool, date, date, str]:
    """What an order needs first comes first; what nobody waits for comes last, soonest ready first."""
    return (row.first_due is None, row.first_due or row.ready_on, row.ready_on, row.batch.number)
