"""The days of one batch: what is asked of the count back, and the steps of a pour on the day it really has."""

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import asdict, replace
from datetime import date, timedelta
from decimal import Decimal

from formulas.finishes import FinishWant
from formulas.models import Design, FormulaRevision, Part
from orders.models import Order
from production.batches.asked import BatchAsk
from production.batches.frozen import FrozenPlan
from production.planning.calendar import WorkDays
from production.planning.countback import CountbackInput, PlannedStep, RouteStep
from production.planning.days import plan_back, plan_forward
from production.planning.layout import lay_out
from production.planning.route import route_for
from soapshop.models import Workshop


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
            note=step.note,
        )
        for step in design.steps.all()
    )
    if steps:
        return steps
    kinds = {item.part.kind for item in design.parts.all()}
    return route_for(has_dough="dough" in kinds, has_toppers="topper" in kinds, has_seals="seal" in kinds)


def route_of_ask(ask: BatchAsk) -> tuple[RouteStep, ...]:
    """Return the way of the design for the bars asked for: work on a part counts the bars that get it.

    Where none does the step falls away, unless another step is counted from it.
    """
    route = route_of(ask.design)
    anchors = {step.anchor for step in route}
    found = []
    for step in route:
        bars = bars_with_part(step.key, ask.wants) if step.is_for_part else ask.bars_made
        if step.is_for_part:
            minutes = step.fixed_minutes + math.ceil(step.minutes_per_bar * bars) if bars else 0
            step = replace(step, fixed_minutes=minutes, minutes_per_bar=Decimal(0))
        if bars or step.key in anchors:
            found.append(step)
    return tuple(found)


def bars_with_part(step_key: str, wants: Iterable[FinishWant]) -> int:
    """Return the bars that get the kind of part a step is named after; any part, where it is named after none."""
    by_kind: Counter[str] = Counter()
    for want in wants:
        by_kind[want.kind] += want.bars
    named = [bars for kind, bars in by_kind.items() if kind and kind in step_key]
    is_of_no_kind = not any(kind in step_key for kind in Part.Kind.values if kind != Part.Kind.DOUGH)
    return max(by_kind.values(), default=0) if is_of_no_kind else max(named, default=0)


def route_of_plan(plan: FrozenPlan) -> tuple[RouteStep, ...]:
    """Return the way a batch was to be made when it was planned."""
    return tuple(RouteStep(**asdict(step)) for step in plan.route)


def label_and_pack_days(workshop: Workshop) -> tuple[int, int]:
    """Split the days for labels and packing: one for the labels as soon as there are two, the rest to pack."""
    labels = 1 if workshop.pack_days > 1 else 0
    return labels, workshop.pack_days - labels


def asked_of(
    order: Order,
    revision: FormulaRevision | None,
    *,
    workshop: Workshop,
    today: date,
    route: tuple[RouteStep, ...],
    bars: int,
    stock_bars: int = 0,
    calendar: WorkDays | None = None,
) -> CountbackInput:
    """Return what the count back needs to know of one line, by the workshop's own days."""
    asked = asked_without_order(
        revision, workshop=workshop, today=today, route=route, bars=bars, calendar=calendar, until=order.needed_by
    )
    return replace(asked, handover_days=order.travel_days, stock_bars=stock_bars)


def asked_without_order(
    revision: FormulaRevision | None,
    *,
    workshop: Workshop,
    today: date,
    route: tuple[RouteStep, ...],
    bars: int,
    until: date,
    calendar: WorkDays | None = None,
) -> CountbackInput:
    """Return what a batch is laid out by that nobody waits for; ``until`` is a day it should be done by."""
    label_days, pack_days = label_and_pack_days(workshop)
    return CountbackInput(
        today=today,
        needed_by=until,
        cure_days=revision.cure_days if revision else workshop.cure_days,
        least_cure_days=revision.least_cure_days if revision else workshop.least_cure_days,
        label_days=label_days,
        pack_days=pack_days,
        bars=bars,
        route=route,
        calendar=calendar or WorkDays(),
    )


def steps_of_pour(asked: CountbackInput, pour_on: date) -> tuple[PlannedStep, ...]:
    """Lay the steps out for a pour on this day: as late as the needed-by day allows, else late but fully cured."""
    days = plan_forward(asked, pour_on, asked.cure_days)
    if days.hand_over + timedelta(days=asked.handover_days) <= asked.needed_by:
        days = plan_back(asked, pour_on)
    return lay_out(asked.route, days, asked.calendar, today=asked.today, bars=asked.bars, done=asked.done)
