"""What the cure rack shows: every batch in cure, how far it is, what it waits for, and who waits for it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Q
from django.utils import timezone

from formulas.drawing import Picture, bar_cross_section_svg
from orders.order_states import OPEN as OPEN_ORDERS
from production.bar_ledger import Balance, BarState
from production.batch_states import ON_THE_RACK, BatchState
from production.batches.models import Batch
from production.batches.pictures import drawn_bar
from production.cure.actions.review import blocking
from production.cure.bar_counts import bar_counts, counts_in_states, finish_words
from production.cure.course import Course, course_svg, last_day
from production.cure.facts import Reason
from production.cure.models import Release
from production.cure.records import (
    MOST_BATCHES_READ,
    CuringBatch,
    curing_batches,
    face_of,
    for_rack,
    teaching_batches,
)

THIS_WEEK = timedelta(days=7)
SHOWN = {"all": "All", "ready": "Ready", "week": "Ready this week", "waiting": "Waiting", "late": "Late"}
READY, CURING, HELD = "Ready for review", "Curing", "On hold"
SHAPES = {READY: "review", CURING: "waiting", HELD: "hold"}


@dataclass(frozen=True)
class ForWhom:
    """An order that bars of a batch are planned for."""

    number: str
    customer: str
    bars: int
    needed_by: date
    url: str


@dataclass(frozen=True)
class FinishCount:
    finish: str
    words: str
    balance: Balance

    @property
    def here(self) -> int:
        """Bars still in the house and of use."""
        states = (BarState.IN_CURE, BarState.RELEASED, BarState.RESERVED, BarState.PACKED, BarState.HELD)
        return sum(self.balance.at(state) for state in states)

    @property
    def free(self) -> int:
        return self.balance.at(BarState.RELEASED)

    @property
    def kept(self) -> int:
        return self.balance.at(BarState.RESERVED)

    @property
    def packed(self) -> int:
        return self.balance.at(BarState.PACKED)


@dataclass(frozen=True)
class RackRow:
    """A batch in cure. `why` is what it waits for, gravest first; `first_due` the day its first order needs it."""

    curing: CuringBatch
    counts: tuple[FinishCount, ...]
    orders: tuple[ForWhom, ...]
    word: str
    why: tuple[Reason, ...]

    @property
    def batch(self) -> Batch:
        return self.curing.batch

    @property
    def bars(self) -> int:
        return sum(count.here for count in self.counts)

    @property
    def shape(self) -> str:
        return SHAPES[self.word]

    @property
    def is_ready(self) -> bool:
        return self.word == READY

    @property
    def is_curing(self) -> bool:
        return self.word == CURING

    @property
    def short_why(self) -> list[Reason]:
        """The reasons without the one that the day of cure beside them says already."""
        return [reason for reason in self.why if reason.code != "cure_days"]

    @property
    def day(self) -> int:
        return self.curing.readiness.day_of_cure

    @property
    def days_to_go(self) -> int:
        return self.curing.readiness.days_to_go

    @property
    def ready_on(self) -> date:
        return self.curing.readiness.ready_on

    @property
    def first_due(self) -> date | None:
        return min((order.needed_by for order in self.orders), default=None)

    @property
    def is_late(self) -> bool:
        """An order needs the bars before they can be ready."""
        due = self.first_due
        return due is not None and (due < self.ready_on or due < self.curing.facts.today)

    @property
    def spread_days(self) -> int:
        """Half the range in which the ready day lies nine times in ten."""
        days = self.curing.ready_days
        return 0 if days is None else -(-(days.high - days.low).days // 2)

    @property
    def picture(self) -> Picture:
        return bar_cross_section_svg(drawn_bar(self.curing.plan), key=f"b{self.batch.pk}", is_small=True)

    def course(self) -> Course:
        """The course of the cure in days from the pour."""
        facts, days = self.curing.facts, self.curing.ready_days

        def day(on: date) -> int:
            return (on - facts.poured_on).days

        return Course(
            day=self.day,
            cure_days=facts.cure_days,
            ready_low=day(days.low if days else self.ready_on),
            ready=day(self.ready_on),
            ready_high=day(max(days.high, self.ready_on) if days else self.ready_on),
            weighed=tuple(sorted({day(weighing.on) for bar in facts.bars for weighing in bar.weighings})),
            due_day=day(self.first_due) if self.first_due else None,
        )


@dataclass(frozen=True)
class ShelfRow:
    """A released batch with bars still in the house."""

    batch: Batch
    counts: tuple[FinishCount, ...]
    release: Release | None
    orders: tuple[ForWhom, ...]

    @property
    def picture(self) -> Picture:
        return bar_cross_section_svg(drawn_bar(face_of(self.batch)), key=f"s{self.batch.pk}", is_small=True)

    @property
    def free(self) -> int:
        return sum(count.free for count in self.counts)


@dataclass(frozen=True)
class Rack:
    """The whole rack on one day."""

    rows: tuple[RackRow, ...]
    shelf: tuple[ShelfRow, ...]
    today: date

    @property
    def ready(self) -> list[RackRow]:
        return [row for row in self.rows if row.is_ready]

    @property
    def ready_bars(self) -> int:
        return sum(row.bars for row in self.ready)

    @property
    def this_week(self) -> list[RackRow]:
        last = self.today + THIS_WEEK
        return [row for row in self.rows if row.word == CURING and row.ready_on <= last]

    @property
    def late(self) -> list[RackRow]:
        return [row for row in self.rows if row.is_late]

    @property
    def held(self) -> list[RackRow]:
        return [row for row in self.rows if row.word == HELD]

    @property
    def next_row(self) -> RackRow | None:
        curing = [row for row in self.rows if row.word == CURING]
        return min(curing, key=lambda row: (row.ready_on, row.batch.number), default=None)

    @property
    def free_bars(self) -> int:
        return sum(row.free for row in self.shelf)

    @property
    def can_be_noted(self) -> int:
        """Batches that are ready by the facts and not noted as such yet."""
        return sum(1 for row in self.rows if row.is_ready and row.batch.state == BatchState.CURING)

    def courses(self, rows: Iterable[RackRow]) -> list[tuple[RackRow, Picture]]:
        """Return rows with the picture of their course, all on the scale of the whole rack."""
        last = last_day(tuple(row.course() for row in self.rows))
        return [(row, course_svg(row.course(), last=last)) for row in rows]

    def shown(self, which: str) -> list[RackRow]:
        by_name = {"ready": self.ready, "week": self.this_week, "late": self.late}
        if which == "waiting":
            return [row for row in self.rows if not row.is_ready]
        return by_name.get(which, list(self.rows))


def read_rack(*, today: date) -> Rack:
    """Read every batch that is in cure or lies released in the house; a fixed number of queries."""
    states = [state.value for state in (*ON_THE_RACK, BatchState.HELD)]
    counts = {pk: _finishes(found) for pk, found in counts_in_states([*states, BatchState.RELEASED.value]).items()}
    here = {pk for pk, found in counts.items() if sum(count.here for count in found)}
    taught_by = teaching_batches(today=today).values("pk")[:MOST_BATCHES_READ]
    wanted = Q(status__in=states) | Q(pk__in=here) | Q(pk__in=taught_by)
    batches = list(for_rack(Batch.objects.filter(wanted, cut_on__isnull=False)).order_by("-poured_on", "-pk"))
    on_rack = [batch for batch in batches if batch.state != BatchState.RELEASED]
    released = [batch for batch in batches if batch.state == BatchState.RELEASED]
    rows = [
        rack_row(curing, counts.get(curing.batch.pk, ()))
        for curing in curing_batches(on_rack, today=today, finished=released)
    ]
    shelf = [
        ShelfRow(batch, counts[batch.pk], newest_release(batch), for_whom(batch))
        for batch in sorted(released, key=lambda each: each.number)
        if batch.pk in here
    ]
    return Rack(tuple(sorted(rows, key=_most_needed)), tuple(shelf), today)


def rack_row(curing: CuringBatch, counts: Iterable[FinishCount]) -> RackRow:
    word = CURING
    if curing.readiness.state == "held" or curing.batch.state == BatchState.HELD:
        word = HELD
    elif curing.readiness.is_ready or (
        curing.batch.state == BatchState.READY_FOR_REVIEW
        and not blocking(curing.readiness, BatchState.READY_FOR_REVIEW)
    ):
        word = READY
    state = BatchState.READY_FOR_REVIEW if word == READY else curing.batch.state
    return RackRow(curing, tuple(counts), for_whom(curing.batch), word, blocking(curing.readiness, state))


def for_whom(batch: Batch) -> tuple[ForWhom, ...]:
    """Return the open orders a batch was planned for, first needed first."""
    found = [
        ForWhom(
            number=served.line.order.number,
            customer=served.line.order.customer.name,
            bars=served.bars,
            needed_by=served.line.order.needed_by,
            url=served.line.order.get_absolute_url(),
        )
        for served in batch.serves.all()
        if served.line.order.state in OPEN_ORDERS
    ]
    return tuple(sorted(found, key=lambda order: (order.needed_by, order.number)))


def newest_release(batch: Batch) -> Release | None:
    return next((each for each in batch.releases.all() if each.decision == Release.Decision.RELEASED), None)


def released_on(release: Release) -> date:
    return timezone.localdate(release.at)


def _finishes(found: dict[str, Balance]) -> tuple[FinishCount, ...]:
    return tuple(FinishCount(finish, finish_words(finish), balance) for finish, balance in sorted(found.items()))


def finish_counts(batch: Batch) -> tuple[FinishCount, ...]:
    return _finishes(bar_counts([batch.pk]).get(batch.pk, {}))


def _most_needed(row: RackRow) -> tuple[bool, date, date, str]:
    """What an order needs first comes first; what nobody waits for comes last, soonest ready first."""
    return (row.first_due is None, row.first_due or row.ready_on, row.ready_on, row.batch.number)
