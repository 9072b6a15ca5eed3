"""What the Today page shows: steps, batches, orders and the shelf, read fresh in a fixed number of queries."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import F, OuterRef, Q, Subquery, Sum

from orders.models import Order
from orders.order_states import PROMISED, OrderState
from production.bar_ledger import BarState
from production.batch_states import BatchState
from production.batches.models import Batch, StepRecord
from production.cure.keeping import keeping_word, shape_of
from production.cure.models import Release
from production.planning.route import CUT, POUR
from production.stock.needs import (
    OpenLine,
    PartNeed,
    material_needs,
    material_supplies,
    needs_of_parts,
    open_lines,
    part_needs_of,
    part_supplies,
)
from production.stock.shortages import Shortage, shortages
from production.today.hints import Hint, setting_hints
from production.today.stakes import JudgedOrder, judge_orders, lines_of_orders
from production.today.steps import OpenStep, doable_steps, effort_text
from soapshop.models import Workshop

HAND_OVER_DAYS = 7
WITH_STEPS = (
    BatchState.PLANNED,
    BatchState.IN_PROCESS,
    BatchState.POURED,
    BatchState.CUT,
    BatchState.CURING,
    BatchState.READY_FOR_REVIEW,
    BatchState.RELEASED,
)
IN_THE_HOUSE = (*WITH_STEPS[:-1], BatchState.HELD)
ENQUIRIES = (OrderState.ENQUIRY, OrderState.QUOTED)


@dataclass(frozen=True)
class BegunBatch:
    """A batch whose weigh-out has begun, with the next line to weigh; None when only the pour is left."""

    batch: Batch
    next_line: OpenLine | None
    lines_left: int


@dataclass(frozen=True)
class FreeBars:
    """Released bars that lie with no order; `keeps` warns where their best-before day is near or past."""

    number: str
    design: str
    bars: int
    keeps: str = ""
    best_before: date | None = None

    @property
    def keeps_shape(self) -> str:
        return shape_of(self.keeps)


@dataclass(frozen=True)
class ShortThing:
    name: str
    shortage: Shortage
    is_part: bool


@dataclass(frozen=True)
class TodayPage:
    today: date
    steps: tuple[OpenStep, ...]
    begun: tuple[BegunBatch, ...]
    to_review: tuple[Batch, ...]
    cured: tuple[Batch, ...]
    held: tuple[Batch, ...]
    free_bars: tuple[FreeBars, ...]
    at_risk: tuple[JudgedOrder, ...]
    leaving: tuple[JudgedOrder, ...]
    enquiries: tuple[Order, ...]
    short: tuple[ShortThing, ...]
    hints: tuple[Hint, ...]

    @property
    def late_steps(self) -> int:
        return sum(1 for step in self.steps if step.is_overdue)

    @property
    def effort(self) -> str:
        return effort_text(sum(step.minutes for step in self.steps))

    @property
    def bars_to_review(self) -> int:
        return sum(batch.bars_cut or 0 for batch in self.to_review)

    @property
    def bars_free(self) -> int:
        return sum(free.bars for free in self.free_bars)

    @property
    def lost_orders(self) -> int:
        return sum(1 for judged in self.at_risk if judged.is_lost)

    @property
    def next_step(self) -> int | None:
        """The first step that is done at the bench page itself."""
        return next((step.pk for step in self.steps if step.key in (POUR, CUT)), None)

    @property
    def leaving_until(self) -> date:
        return self.today + timedelta(days=HAND_OVER_DAYS)

    @property
    def is_quiet(self) -> bool:
        return not (self.steps or self.begun or self.held or self.has_ready or self.at_risk)

    @property
    def has_ready(self) -> bool:
        return bool(self.to_review or self.cured or self.free_bars)


def today_page(*, workshop: Workshop, today: date) -> TodayPage:
    lines = list(lines_of_orders((*ENQUIRIES, *PROMISED)))
    judged = judge_orders(lines, workshop=workshop, today=today)
    batches = _batches()
    still_open = open_lines()
    until = today + timedelta(days=HAND_OVER_DAYS)
    return TodayPage(
        today=today,
        steps=doable_steps(_open_steps(today), today=today),
        begun=_begun(batches, still_open),
        to_review=tuple(batch for batch in batches if batch.state == BatchState.READY_FOR_REVIEW),
        cured=tuple(batch for batch in batches if batch.state == BatchState.CURING and _is_cured(batch, today)),
        held=tuple(batch for batch in batches if batch.state == BatchState.HELD),
        free_bars=_free_bars(judged, today=today),
        at_risk=tuple(sorted((each for each in judged if each.risks), key=lambda each: not each.is_lost)),
        leaving=tuple(each for each in judged if each.stake.leaves_on <= until),
        enquiries=tuple({line.order_id: line.order for line in lines if line.order.state in ENQUIRIES}.values()),
        short=_short(still_open, batches, today=today),
        hints=setting_hints(workshop),
    )


def _batches() -> list[Batch]:
    """Return every batch in the house with the parts of its frozen plan, without the rest of that plan."""
    return list(
        Batch.objects.filter(status__in=[state.value for state in IN_THE_HOUSE])
        .select_related("design")
        .annotate(wanted_parts=F("frozen__parts"))
        .defer("frozen")
        .order_by("pour_on", "number")
    )


def _open_steps(today: date) -> list[OpenStep]:
    rows = (
        StepRecord.objects.filter(
            done_on__isnull=True, due_on__lte=today, batch__status__in=[state.value for state in WITH_STEPS]
        )
        .order_by("batch__number", "position")
        .values_list(
            "pk", "batch__number", "batch__design__name", "position", "key", "label", "due_on", "last_on", "minutes"
        )
    )
    return [OpenStep(*row) for row in rows]


def _begun(batches: list[Batch], still_open: list[OpenLine]) -> tuple[BegunBatch, ...]:
    found = []
    for batch in batches:
        if batch.state == BatchState.IN_PROCESS:
            own = [line for line in still_open if line.batch == batch.number]
            found.append(BegunBatch(batch, own[0] if own else None, len(own)))
    return tuple(found)


def _is_cured(batch: Batch, today: date) -> bool:
    return batch.poured_on is not None and batch.poured_on + timedelta(days=batch.cure_days) <= today


def _free_bars(judged: Iterable[JudgedOrder], *, today: date) -> tuple[FreeBars, ...]:
    """Return released bars that lie with no order, less what open orders still expect of their batch; one query."""
    expected: Counter[str] = Counter()
    for each in judged:
        for line in each.stake.lines:
            expected.update({batch.number: batch.can_give for batch in line.batches})
    released = BarState.RELEASED.value
    decisions = Release.objects.filter(batch=OuterRef("pk"), decision=Release.Decision.RELEASED).order_by("-at", "-pk")
    rows = (
        Batch.objects.filter(status=BatchState.RELEASED.value)
        .annotate(
            into=Sum("bar_moves__bars", filter=Q(bar_moves__to_state=released), default=0),
            out=Sum("bar_moves__bars", filter=Q(bar_moves__from_state=released), default=0),
        )
        .filter(into__gt=F("out"))
        .annotate(best_before=Subquery(decisions.values("best_before")[:1]))
        .order_by("number")
        .values_list("number", "design__name", "into", "out", "best_before", "poured_on", "superfat_actual_percent")
    )
    found = (
        FreeBars(
            number,
            design,
            into - out - expected[number],
            keeping_word(poured_on=poured_on, best_before=best_before, superfat_percent=superfat, today=today),
            best_before,
        )
        for number, design, into, out, best_before, poured_on, superfat in rows
    )
    return tuple(free for free in found if free.bars > 0)


def _short(still_open: list[OpenLine], batches: list[Batch], *, today: date) -> tuple[ShortThing, ...]:
    needs = material_needs(still_open, today=today)
    names = {line.material_id: line.material for line in still_open}
    materials = shortages(material_supplies(needs, today=today), needs)
    wanted: list[PartNeed] = part_needs_of(batches)
    part_names = {need.part_id: need.part for need in wanted}
    parts = shortages(part_supplies(today=today), needs_of_parts(wanted, today=today))
    found = [ShortThing(names[key], short, is_part=False) for key, short in materials.items()]
    found += [ShortThing(part_names[key], short, is_part=True) for key, short in parts.items()]
    return tuple(sorted(found, key=lambda thing: (thing.shortage.on, thing.name)))
