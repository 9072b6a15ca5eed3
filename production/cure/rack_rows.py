"""One batch on the rack, or on the shelf of released bars, as a row of the page."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from formulas.drawing import DrawnBar, Picture, bar_cross_section_svg
from orders.order_states import OPEN as OPEN_ORDERS
from production.bar_ledger import Balance, BarState
from production.batch_states import BatchState
from production.batches.models import Batch
from production.batches.pictures import drawn_bar
from production.cure.actions.review import blocking
from production.cure.bar_counts import bar_counts, finish_words
from production.cure.course import Course
from production.cure.facts import Reason
from production.cure.keeping import keeping_word, shape_of
from production.cure.models import Release
from production.cure.rack_plans import face_of, part_names
from production.cure.records import CuringBatch

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
        return _small_face(drawn_bar(self.curing.plan), f"b{self.batch.pk}")

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
    keeps: str = ""

    @property
    def picture(self) -> Picture:
        return _small_face(drawn_bar(face_of(self.batch)), f"s{self.batch.pk}")

    @property
    def keeps_shape(self) -> str:
        return shape_of(self.keeps)

    @property
    def free(self) -> int:
        return sum(count.free for count in self.counts)


@lru_cache(maxsize=500)
def _small_face(bar: DrawnBar, key: str) -> Picture:
    """Draw the cut face small. Remembered: the plan of a batch on the rack never changes, and so neither its face."""
    return bar_cross_section_svg(bar, key=key, is_small=True)


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


def shelf_row(batch: Batch, counts: tuple[FinishCount, ...], *, today: date) -> ShelfRow:
    release = newest_release(batch)
    keeps = keeping_word(
        poured_on=batch.poured_on,
        best_before=release.best_before if release else None,
        superfat_percent=batch.superfat_actual_percent,
        today=today,
    )
    return ShelfRow(batch, counts, release, for_whom(batch), keeps)


def newest_release(batch: Batch) -> Release | None:
    return next((each for each in batch.releases.all() if each.decision == Release.Decision.RELEASED), None)


def finish_rows(found: Mapping[str, Balance], names: Mapping[str, str]) -> tuple[FinishCount, ...]:
    """Return the counts of a batch with each finish in words; `names` gives the parts of its plan by key."""
    return tuple(FinishCount(finish, finish_words(finish, names), balance) for finish, balance in sorted(found.items()))


def finish_counts(batch: Batch) -> tuple[FinishCount, ...]:
    return finish_rows(bar_counts([batch.pk]).get(batch.pk, {}), part_names(batch))
