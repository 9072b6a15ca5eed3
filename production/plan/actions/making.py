"""Make the new batches of a plan: one pour may serve several lines of the same design."""

from collections import defaultdict
from dataclasses import replace
from datetime import date

from formulas.finishes import FinishWant
from orders.actions import OrderRefusal, move_order
from orders.models import Order, OrderLine
from orders.order_states import OrderState
from production.batches.actions.planning import write_batch, write_steps
from production.batches.asked import BatchAsk, BatchRefusal
from production.batches.models import Batch, BatchFor
from production.batches.planned import planned_for
from production.batches.pours import open_wants, wants_by_pour
from production.batches.proposal import finish_wants
from production.batches.schedule import asked_of, route_of_ask, steps_of_pour
from production.batches.sizing import size_batch
from production.plan.records import ShopPlan
from production.planning.plan_records import POUR, MoldYield, Plan, PlannedBatch
from production.today.actions import refresh_risks
from soapshop.models import User, Workshop

Serves = dict[int, int]  # order line to bars


def make_planned_batches(
    shop: ShopPlan, plan: Plan, *, chosen: frozenset[str], today: date, by: User
) -> tuple[str, ...]:
    """Write the chosen new batches of a plan and return their numbers. Called inside the accepting transaction."""
    known = {batch.key for batch in (*shop.asked.fixed, *shop.asked.movable)}
    fresh = sorted((each for each in plan.batches if each.key not in known), key=lambda each: (each.on(POUR), each.key))
    if not chosen:
        return ()
    serves = {each.key: _serves(shop, plan, each) for each in fresh}
    wants = _wants(shop, serves)
    made = [
        _make(shop, each, serves[each.key], wants[each.key], today=today, by=by) for each in fresh if each.key in chosen
    ]
    for order_id in sorted({line.order_id for each in made for line in _lines(shop, serves, each[0])}):
        _start(order_id, by)
    refresh_risks(today=today)
    return tuple(batch.number for _, batch in made)


def _serves(shop: ShopPlan, plan: Plan, batch: PlannedBatch) -> Serves:
    found: Serves = defaultdict(int)
    for share in plan.shares:
        if share.source == batch.key:
            found[shop.lines[share.line].pk] += share.bars
    return dict(found)


def _lines(shop: ShopPlan, serves: dict[str, Serves], key: str) -> list[OrderLine]:
    by_id = {line.pk: line for line in shop.lines.values()}
    return [by_id[line_id] for line_id in serves[key]]


def _wants(shop: ShopPlan, serves: dict[str, Serves]) -> dict[str, tuple[FinishWant, ...]]:
    """Share the parts of each line out over its pours, then add up what each pour needs."""
    by_id = {line.pk: line for line in shop.lines.values()}
    planned = planned_for(by_id)
    found: dict[str, dict[tuple[str, int], FinishWant]] = {key: {} for key in serves}
    for line_id, line in by_id.items():
        pours = [(key, own[line_id]) for key, own in serves.items() if own.get(line_id)]
        bars = [count for _, count in pours]
        wants = open_wants(finish_wants(line), planned=planned[line_id].bars_with_part, open_bars=sum(bars))
        for (key, _), here in zip(pours, wants_by_pour(wants, bars), strict=True):
            for want in here:
                place = (want.part_key, want.pieces_per_bar)
                before = found[key].get(place)
                found[key][place] = replace(want, bars=want.bars + (before.bars if before else 0))
    return {key: tuple(own.values()) for key, own in found.items()}


def _make(
    shop: ShopPlan, planned: PlannedBatch, serves: Serves, wants: tuple[FinishWant, ...], *, today: date, by: User
) -> tuple[str, Batch]:
    lines = _lines(shop, {planned.key: serves}, planned.key)
    design, way = shop.designs[planned.design], _way(shop, planned)
    revision = shop.revisions.get(design.formula_id)
    if revision is None:
        raise BatchRefusal(f"The formula {design.formula.name} has no approved revision. Approve one, then plan.")
    workshop, first = Workshop.current(), min(lines, key=lambda line: line.order.needed_by)
    bars = sum(serves.values())
    ask = BatchAsk(design, revision, design.mold, way.filled, bars, wants)
    batch = write_batch(size_batch(ask, workshop=workshop), ask=ask, day=planned.on(POUR), by=by)
    BatchFor.objects.bulk_create(
        BatchFor(batch=batch, line_id=line_id, bars=count) for line_id, count in serves.items()
    )
    asked = asked_of(
        first.order,
        revision,
        workshop=workshop,
        today=today,
        route=route_of_ask(ask),
        bars=way.gross_bars,
        calendar=shop.calendar,
    )
    days = dict(planned.days)
    steps = steps_of_pour(asked, planned.on(POUR))
    write_steps(batch, tuple(replace(step, on_day=days.get(step.key, step.on_day)) for step in steps))
    return planned.key, batch


def _way(shop: ShopPlan, planned: PlannedBatch) -> MoldYield:
    design = next(each for each in shop.asked.designs if each.key == planned.design)
    return next(way for way in design.yields if way.mold == planned.mold)


def _start(order_id: int, by: User) -> None:
    """An accepted order whose first batch is planned is in production."""
    if Order.objects.select_for_update().get(pk=order_id).state != OrderState.ACCEPTED:
        return
    try:
        move_order(order_id=order_id, to=OrderState.IN_PRODUCTION, by=by)
    except OrderRefusal as refusal:
        raise BatchRefusal(str(refusal)) from refusal
