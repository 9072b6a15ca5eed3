"""From an order to batches: bars to pour, molds to fill, parts to have ready, and the day to pour by."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Sum, prefetch_related_objects

from formulas.finishes import FinishError, FinishWant, PartNeed, part_needs
from formulas.geometry import MoldError
from formulas.models import Design, FormulaRevision, Mold
from formulas.mold_choice import MoldOffer, choose_molds
from formulas.spares import bars_with_spares, parts_with_spares
from orders.models import Order, OrderLine
from production.batch_states import BatchState
from production.batches.models import BatchFor
from production.planning.calendar import WorkDays
from production.planning.countback import Countback, CountbackError, CountbackInput, RouteStep, count_back
from production.planning.route import RouteError, route_for
from soapshop.models import Workshop

GONE = (BatchState.CANCELLED.value, BatchState.REJECTED.value, BatchState.SCRAPPED.value, BatchState.REWORKED.value)


@dataclass(frozen=True)
class PourProposal:
    """One pot: how many molds it fills, the bars it gives, and how many of them the order line asked for."""

    mold: Mold
    mold_count: int
    bars_made: int
    ordered_bars: int
    wants: tuple[FinishWant, ...]


@dataclass(frozen=True)
class PartsProposal:
    name: str
    pieces: int
    spares: int

    @property
    def to_make(self) -> int:
        return self.pieces + self.spares


@dataclass(frozen=True)
class LineProposal:
    line: OrderLine
    revision: FormulaRevision | None
    planned_bars: int
    open_bars: int
    bars_to_pour: int
    pours: tuple[PourProposal, ...]
    parts: tuple[PartsProposal, ...]
    countback: Countback | None
    problem: str = ""

    @property
    def can_be_planned(self) -> bool:
        return bool(self.pours) and not self.problem

    @property
    def bars_made(self) -> int:
        return sum(pour.bars_made for pour in self.pours)

    @property
    def left_over(self) -> int:
        return self.bars_made - self.open_bars


@dataclass(frozen=True)
class OrderProposal:
    order: Order
    lines: tuple[LineProposal, ...]

    @property
    def pour_by(self) -> date | None:
        days = [line.countback.pour_by for line in self.lines if line.countback is not None and line.open_bars]
        return min(days, default=None)

    @property
    def is_late(self) -> bool:
        return any(line.countback is not None and line.countback.is_late for line in self.lines if line.open_bars)

    @property
    def can_be_planned(self) -> bool:
        return any(line.can_be_planned for line in self.lines)


def propose_for_order(
    order: Order, *, workshop: Workshop, today: date, calendar: WorkDays | None = None
) -> OrderProposal:
    """Propose what is still to be poured for an order. Nothing is written."""
    return propose_for_orders([order], workshop=workshop, today=today, calendar=calendar)[0]


def propose_for_orders(
    orders: Sequence[Order], *, workshop: Workshop, today: date, calendar: WorkDays | None = None
) -> list[OrderProposal]:
    """Propose for several orders, read for a page, in a fixed number of queries."""
    lines = [line for order in orders for line in order.lines.all()]
    prefetch_related_objects(lines, "design__steps", "design__formula", "design__mold", "design__parts__part")
    planned = planned_bars([line.pk for line in lines])
    formulas = {line.design.formula_id for line in lines}
    revisions = {
        revision.formula_id: revision for revision in FormulaRevision.objects.approved().filter(formula__in=formulas)
    }
    return [
        OrderProposal(
            order=order,
            lines=tuple(
                _propose(
                    line,
                    order,
                    revisions.get(line.design.formula_id),
                    workshop=workshop,
                    today=today,
                    calendar=calendar,
                    planned=planned.get(line.pk, 0),
                )
                for line in order.lines.all()
            ),
        )
        for order in orders
    ]


def planned_bars(line_ids: list[int]) -> dict[int, int]:
    """Return the bars that live batches hold for each line, in one query."""
    rows = (
        BatchFor.objects.filter(line_id__in=line_ids)
        .exclude(batch__status__in=GONE)
        .values("line_id")
        .annotate(bars=Sum("bars"))
    )
    return {row["line_id"]: row["bars"] for row in rows}


def _propose(
    line: OrderLine,
    order: Order,
    revision: FormulaRevision | None,
    *,
    workshop: Workshop,
    today: date,
    calendar: WorkDays | None,
    planned: int,
) -> LineProposal:
    design = line.design
    open_bars = max(line.bars - planned, 0)
    to_pour = (
        bars_with_spares(open_bars, percent=workshop.bar_spare_percent, least=workshop.bar_spare_least)
        if open_bars
        else 0
    )
    problem = ""
    pours: tuple[PourProposal, ...] = ()
    parts: tuple[PartsProposal, ...] = ()
    countback = None
    try:
        wants = finish_wants(line)
        parts = _parts(line, part_needs(wants))
        pours = _pours(design.mold, open_bars, to_pour, wants) if open_bars else ()
        countback = count_back(_asked(line, order, revision, workshop, today, calendar, to_pour))
    except (MoldError, FinishError, CountbackError, RouteError) as refusal:
        problem = str(refusal)
    if revision is None:
        problem = f"The formula {design.formula.name} has no approved revision. Approve one, then plan the batches."
    return LineProposal(line, revision, planned, open_bars, to_pour, pours, parts, countback, problem)


def finish_wants(line: OrderLine) -> tuple[FinishWant, ...]:
    """Return the parts that the line asks for. Parts on every bar of the design are in the line's finishes too."""
    carried = {item.part_id: item.pieces_per_bar for item in line.design.parts.all()}
    return tuple(
        FinishWant(
            part_key=finish.part.key,
            bars=finish.bars,
            at=finish.part.attached_at,
            kind=finish.part.kind,
            pieces_per_bar=carried.get(finish.part_id, 1),
        )
        for finish in line.finishes.all()
    )


def _parts(line: OrderLine, needs: tuple[PartNeed, ...]) -> tuple[PartsProposal, ...]:
    by_key = {finish.part.key: finish.part for finish in line.finishes.all()}
    found = []
    for need in needs:
        part = by_key[need.part_key]
        made = parts_with_spares(need.pieces, percent=part.spare_percent, least=part.spare_least)
        found.append(PartsProposal(part.name, need.pieces, made - need.pieces))
    return tuple(found)


def _pours(mold: Mold, open_bars: int, to_pour: int, wants: tuple[FinishWant, ...]) -> tuple[PourProposal, ...]:
    plan = choose_molds(to_pour, (MoldOffer(mold.name, mold.usable_bars, mold.owned),))
    found, left = [], open_bars
    still = list(wants)
    for pour in plan.pours:
        ordered = min(left, pour.bars)
        left -= ordered
        here, still = _split_wants(still, ordered)
        found.append(
            PourProposal(
                mold=mold,
                mold_count=sum(use.molds for use in pour.uses),
                bars_made=pour.bars,
                ordered_bars=ordered,
                wants=here,
            )
        )
    return tuple(found)


def _split_wants(wants: list[FinishWant], bars: int) -> tuple[tuple[FinishWant, ...], list[FinishWant]]:
    """Give a pour as many of the wanted parts as it has bars; the rest waits for the next pour."""
    here, rest = [], []
    room: dict[str, int] = {}
    for want in wants:
        kind = want.kind or want.part_key
        taken = min(want.bars, bars - room.get(kind, 0))
        if taken > 0:
            here.append(FinishWant(want.part_key, taken, want.at, want.kind, want.pieces_per_bar))
            room[kind] = room.get(kind, 0) + taken
        if want.bars > max(taken, 0):
            left = want.bars - max(taken, 0)
            rest.append(FinishWant(want.part_key, left, want.at, want.kind, want.pieces_per_bar))
    return tuple(here), rest


def route_of(design: Design) -> tuple[RouteStep, ...]:
    """Return the design's own way of being made, or the usual one for the parts it carries."""
    steps = tuple(
        RouteStep(
            key=step.key,
            label=step.label,
            anchor=step.anchor,
            least_days=step.least_days,
            most_days=step.most_days,
            fixed_minutes=step.fixed_minutes,
            minutes_per_bar=step.minutes_per_bar,
            needs_person=step.needs_person,
            binds=step.binds,
            is_for_part=step.is_for_part,
            every_days=step.every_days,
        )
        for step in design.steps.all()
    )
    if steps:
        return steps
    kinds = {item.part.kind for item in design.parts.all()}
    return route_for(has_dough="dough" in kinds, has_toppers="topper" in kinds, has_seals="seal" in kinds)


def _asked(
    line: OrderLine,
    order: Order,
    revision: FormulaRevision | None,
    workshop: Workshop,
    today: date,
    calendar: WorkDays | None,
    to_pour: int,
) -> CountbackInput:
    return CountbackInput(
        today=today,
        needed_by=order.needed_by,
        handover_days=order.travel_days,
        cure_days=revision.cure_days if revision else workshop.cure_days,
        least_cure_days=revision.least_cure_days if revision else workshop.least_cure_days,
        pack_days=max(workshop.pack_days - 1, 1),
        bars=to_pour,
        route=route_of(line.design),
        calendar=calendar or WorkDays(),
    )
