"""The day a customer can be told: the planner's day, the workshop's air, a shipping day, the days on the way."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

from formulas.models import Design, FormulaRevision
from production.batches.schedule import asked_without_order, route_of
from production.plan.models import WorkWeek
from production.plan.records import ShopPlan, shop_plan
from production.plan.work_days import current_work_days
from production.planning.calendar import CalendarError
from production.planning.countback import Countback, CountbackError, count_back
from production.planning.engine import plan
from production.planning.lateness import earliest_alone
from production.planning.plan_answer import Budget
from production.planning.plan_records import PlanLine
from production.planning.promise import (
    ENQUIRY,
    Promise,
    promise_from_free_bars,
    promise_with_moves,
    promise_with_nothing_moved,
)
from production.planning.repair import batches_hit, with_pinned
from soapshop.models import Workshop

AT_ONCE = Budget(seconds=0)


@dataclass(frozen=True)
class Offer:
    """One answer: the day in hand, and how it comes about."""

    promise: Promise
    in_hand_on: date
    words: str


@dataclass(frozen=True)
class Offers:
    design: Design
    bars: int
    offers: tuple[Offer, ...]
    problem: str = ""

    @property
    def best(self) -> Offer | None:
        return min(self.offers, key=lambda offer: offer.in_hand_on, default=None)


def offers_for(design: Design, bars: int, *, today: date, travel_days: int = 0, seconds: float = 0.0) -> Offers:
    """Return the honest days for so many bars: from free bars, with nothing moved, and, given seconds, with moves."""
    shop = shop_plan(today=today, also=(design,), held=True)
    if design.name in shop.unplannable:
        return Offers(design, bars, (), f"{design.name} cannot be planned: approve its formula, or own its mold.")
    asked = shop.asked
    current = plan(with_pinned(asked, batches_hit(asked)), AT_ONCE)
    enquiry = PlanLine(ENQUIRY, design.name, bars, today)
    pinned = promise_with_nothing_moved(asked, current.plan, enquiry, AT_ONCE)
    free = promise_from_free_bars(asked, current.plan, enquiry)
    found = [free] if free and pinned and free.ready_on <= pinned.ready_on and not pinned.pours else [free, pinned]
    if seconds:
        moved = promise_with_moves(asked, current.plan, enquiry, Budget(seconds=seconds))
        if moved is not None and (pinned is None or moved.ready_on < pinned.ready_on):
            found.append(moved)
    week = WorkWeek.current()
    alone = earliest_alone(asked, enquiry)
    offers = tuple(_offer(shop, week, each, travel_days, alone) for each in found if each)
    if offers:
        return Offers(design, bars, offers)
    reason = current.problems[0].text if current.problems else "no day was found in the days looked at."
    return Offers(design, bars, (), f"No day can be promised yet: {reason}")


def last_pours(design: Design, wanted_on: date, bars: int, *, today: date, travel_days: int = 0) -> Countback | None:
    """Count back from a day the bars are wanted, whoever buys them; None where no day can be counted."""
    revision = FormulaRevision.objects.approved().filter(formula=design.formula_id).first()
    asked = asked_without_order(
        revision,
        workshop=Workshop.current(),
        today=today,
        route=route_of(design),
        bars=bars,
        until=wanted_on,
        calendar=current_work_days(),
    )
    try:
        return count_back(replace(asked, handover_days=travel_days))
    except (CalendarError, CountbackError, OverflowError):
        return None


def _offer(shop: ShopPlan, week: WorkWeek, promise: Promise, travel_days: int, alone: date | None) -> Offer:
    from_day = promise.ready_on + timedelta(days=1 + week.buffer_days)
    day = shop.calendar.next_open(from_day)
    wanted = set(week.shipping_weekdays)
    for _ in range(60):
        if not wanted or day.weekday() in wanted:
            break
        day = shop.calendar.next_open(day + timedelta(days=1))
    return Offer(promise, day + timedelta(days=travel_days), _words(promise, week, alone))


def _words(promise: Promise, week: WorkWeek, alone: date | None) -> str:
    air = f"{week.buffer_days} days of air are kept"
    if promise.source == "free":
        return f"From bars nobody ordered, packed on {_day(promise.ready_on)}; {air}."
    pours = " and ".join(_day(day) for day in promise.pours)
    come = f"poured on {pours}, cured" if pours else "from bars that planned batches leave, cured"
    why = f"{come} and packed on {_day(promise.ready_on)}; {air}"
    if promise.source == "movable":
        move = f"{', '.join(promise.moved)} move{'s' if len(promise.moved) == 1 else ''}"
        return f"Earlier if {move if promise.moved else 'new pours change places'}, and no order gets later: {why}."
    if alone is not None and alone < promise.ready_on:
        return (
            f"Nothing moves: {why}. The cure alone would allow {_day(alone)}; batches planned already are in the way."
        )
    return f"Nothing moves: {why}. The cure allows no earlier day."


def _day(day: date) -> str:
    return f"{day:%b} {day.day}, {day.year}"
