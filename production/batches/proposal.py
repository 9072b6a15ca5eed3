"""From an order to batches: bars to pour, molds to fill, parts to have ready, and the day to pour by."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from django.db.models import prefetch_related_objects

from formulas.finishes import FinishError, FinishWant, part_needs
from formulas.geometry import MoldError
from formulas.models import FormulaRevision, Mold
from formulas.mold_choice import MoldOffer, choose_molds
from formulas.spares import bars_with_spares, parts_with_spares
from orders.models import Order, OrderLine
from production.bar_ledger import BarState
from production.batch_states import BatchState
from production.batches.asked import BatchAsk, BatchRefusal
from production.batches.models import Batch
from production.batches.planned import GONE, PlannedFor, planned_for
from production.batches.pots import bars_from_one_pot
from production.batches.pours import open_wants, wants_by_pour
from production.batches.proposed import LineProposal, OrderProposal, PartsProposal, PourProposal
from production.batches.schedule import asked_of, route_of
from production.batches.sizing import size_batch
from production.batches.weigh_out import WeighRules
from production.cure.bar_counts import bar_counts
from production.plan.models import WorkWeek
from production.plan.work_days import current_work_days
from production.planning.calendar import CalendarError, WorkDays
from production.planning.countback import Countback, CountbackError, count_back
from production.planning.route import RouteError
from soapshop.models import Workshop

__all__ = [
    "GONE",
    "LineProposal",
    "OrderProposal",
    "PartsProposal",
    "PourProposal",
    "ask_of",
    "finish_wants",
    "propose_days",
    "propose_for_order",
    "propose_for_orders",
]


SIZED_FROM = (
    "rows__portions__carrier_oil__allergen_shares__allergen",
    "rows__portions__wet_liquid__allergen_shares__allergen",
    "rows__portions__colors__material__allergen_shares__allergen",
    "parts__part__ingredients__material__allergen_shares__allergen",
)


@dataclass(frozen=True)
class _Facts:
    """What all lines of one proposal are judged by."""

    workshop: Workshop
    today: date
    calendar: WorkDays | None
    revisions: Mapping[int, FormulaRevision]
    planned: Mapping[int, PlannedFor]
    free: Mapping[int, int]
    pot_liters: Decimal | None


def propose_for_order(
    order: Order, *, workshop: Workshop, today: date, calendar: WorkDays | None = None, with_grams: bool = False
) -> OrderProposal:
    """Propose what is still to be poured for an order, with the grams of each pot if asked. Nothing is written."""
    proposal = propose_for_orders([order], workshop=workshop, today=today, calendar=calendar)[0]
    if not with_grams:
        return proposal
    _read_for_sizing(proposal)
    rules = WeighRules.with_scales(workshop)
    return replace(proposal, lines=tuple(_with_grams(line, workshop, rules) for line in proposal.lines))


def propose_for_orders(
    orders: Sequence[Order], *, workshop: Workshop, today: date, calendar: WorkDays | None = None
) -> list[OrderProposal]:
    """Propose for several orders, read for a plan, in a fixed number of queries."""
    lines = [line for order in orders for line in order.lines.all()]
    prefetch_related_objects(lines, "design__steps", "design__parts__part")
    free = free_bars({line.design_id for line in lines})
    facts = _facts(lines, workshop=workshop, today=today, calendar=calendar, free=free)
    return [OrderProposal(order, tuple(_propose(line, order, facts) for line in order.lines.all())) for order in orders]


def propose_days(
    lines: Sequence[OrderLine], *, workshop: Workshop, today: date, calendar: WorkDays | None = None
) -> list[OrderProposal]:
    """Propose days and pours alone, without parts, for lines of many orders read with order and design."""
    facts = _facts(lines, workshop=workshop, today=today, calendar=calendar, free={})
    orders: dict[Order, list[LineProposal]] = {}
    for line in lines:
        orders.setdefault(line.order, []).append(_propose(line, line.order, facts, with_parts=False))
    return [OrderProposal(order, tuple(own)) for order, own in orders.items()]


def _facts(
    lines: Sequence[OrderLine],
    *,
    workshop: Workshop,
    today: date,
    calendar: WorkDays | None,
    free: Mapping[int, int],
) -> _Facts:
    formulas = {line.design.formula_id for line in lines}
    week = WorkWeek.current()
    approved = FormulaRevision.objects.approved().filter(formula__in=formulas).select_related("formula")
    return _Facts(
        workshop=workshop,
        today=today,
        calendar=calendar or current_work_days(week),
        revisions={revision.formula_id: revision for revision in approved},
        planned=planned_for([line.pk for line in lines]),
        free=free,
        pot_liters=week.pot_liters,
    )


def free_bars(design_ids: set[int]) -> dict[int, int]:
    """Return the released bars of each design that lie with no order; two queries."""
    released = Batch.objects.filter(status=BatchState.RELEASED.value, design_id__in=design_ids)
    designs = dict(released.values_list("pk", "design_id"))
    found: Counter[int] = Counter()
    for batch_id, by_finish in bar_counts(designs).items():
        found[designs[batch_id]] += sum(balance.at(BarState.RELEASED) for balance in by_finish.values())
    return found


def _propose(line: OrderLine, order: Order, facts: _Facts, *, with_parts: bool = True) -> LineProposal:
    planned = facts.planned.get(line.pk, PlannedFor())
    revision = facts.revisions.get(line.design.formula_id)
    open_bars = max(line.bars - planned.bars, 0)
    found = LineProposal(line, revision, planned, open_bars, _bars_to_pour(open_bars, facts.workshop))
    if not open_bars:
        return found
    try:
        asked = finish_wants(line) if with_parts else ()
        wants = open_wants(asked, planned=planned.bars_with_part, open_bars=open_bars)
        found = replace(found, parts=_parts(line, wants))
        found = replace(found, countback=_counted(found, order, facts))
        found = replace(found, pours=_pours(line.design.mold, open_bars, found.bars_to_pour, wants, facts.pot_liters))
    except (MoldError, FinishError, CountbackError, RouteError, CalendarError) as refusal:
        found = replace(found, problem=str(refusal))
    if revision is None:
        name = line.design.formula.name
        found = replace(found, problem=f"The formula {name} has no approved revision. Approve one, then plan.")
    return found


def _bars_to_pour(open_bars: int, workshop: Workshop) -> int:
    if not open_bars:
        return 0
    return bars_with_spares(open_bars, percent=workshop.bar_spare_percent, least=workshop.bar_spare_least)


def _counted(found: LineProposal, order: Order, facts: _Facts) -> Countback:
    design = found.line.design
    asked = asked_of(
        order,
        found.revision,
        workshop=facts.workshop,
        today=facts.today,
        route=route_of(design),
        bars=found.bars_to_pour,
        stock_bars=min(facts.free.get(design.pk, 0), found.open_bars),
        calendar=facts.calendar,
    )
    return count_back(asked)


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
            name=finish.part.name,
        )
        for finish in line.finishes.all()
    )


def _parts(line: OrderLine, wants: tuple[FinishWant, ...]) -> tuple[PartsProposal, ...]:
    if not wants:
        return ()  # Without a query: many lines are proposed for their days alone.
    by_key = {finish.part.key: finish.part for finish in line.finishes.all()}
    found = []
    for need in part_needs(wants):
        part = by_key[need.part_key]
        if part.is_work:
            continue
        made = parts_with_spares(need.pieces, percent=part.spare_percent, least=part.spare_least)
        found.append(PartsProposal(part.name, need.pieces, made - need.pieces))
    return tuple(found)


def _pours(
    mold: Mold, open_bars: int, to_pour: int, wants: tuple[FinishWant, ...], pot_liters: Decimal | None
) -> tuple[PourProposal, ...]:
    offer = MoldOffer(mold.name, mold.usable_bars, mold.owned)
    plan = choose_molds(to_pour, (offer,), most_bars_per_pour=bars_from_one_pot(mold, pot_liters))
    ordered, left = [], open_bars
    for pour in plan.pours:
        ordered.append(min(left, pour.bars))
        left -= ordered[-1]
    return tuple(
        PourProposal(mold, sum(use.molds for use in pour.uses), pour.bars, bars, here)
        for pour, bars, here in zip(plan.pours, ordered, wants_by_pour(wants, ordered), strict=True)
    )


def _read_for_sizing(proposal: OrderProposal) -> None:
    """Read once what every pot of the order is sized from."""
    lines = proposal.open_lines
    revisions = [line.revision for line in lines if line.revision is not None]
    prefetch_related_objects(revisions, "lines__material__allergen_shares__allergen")
    prefetch_related_objects([line.line for line in lines], *(f"design__{path}" for path in SIZED_FROM))


def _with_grams(found: LineProposal, workshop: Workshop, rules: WeighRules) -> LineProposal:
    """Size each pot, so that what cannot be weighed or portioned is said before anything is planned."""
    if found.revision is None or found.problem:
        return found
    try:
        pours = tuple(
            replace(pour, sized=size_batch(ask_of(found, pour), workshop=workshop, rules=rules)) for pour in found.pours
        )
    except BatchRefusal as refusal:
        return replace(found, problem=str(refusal))
    return replace(found, pours=pours)


def ask_of(found: LineProposal, pour: PourProposal) -> BatchAsk:
    """Return what is asked of the batch that this pour becomes. The line has an approved revision."""
    if found.revision is None:
        raise BatchRefusal(found.problem)
    return BatchAsk(found.line.design, found.revision, pour.mold, pour.mold_count, pour.ordered_bars, pour.wants)
