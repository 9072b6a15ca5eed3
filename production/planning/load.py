"""What is already booked while a plan is being built: bench minutes, pours, molds, rack places and ingredients.

Days are counted from today (0), for this is asked many thousand times while a plan is sought.
"""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterator
from datetime import date, timedelta

from production.planning.plan_records import (
    CUT,
    POUR,
    RELEASE,
    MoldYield,
    PlanDesign,
    PlanInput,
    PlannedBatch,
    PlanStep,
    minutes_of,
)

Days = dict[str, int]
# Past every horizon.
FAR = 100_000


class Load:
    """Books batches and packing, and says why a batch does not fit on a day."""

    def __init__(self, asked: PlanInput) -> None:
        self.asked = asked
        self.designs = {design.key: design for design in asked.designs}
        self.owned = dict(asked.molds)
        self.minutes: dict[int, int] = {
            self.number(each.day): each.minutes for each in asked.bench if each.day >= asked.today
        }
        self.open_days = sorted(day for day, minutes in self.minutes.items() if minutes > 0)
        self.pours: defaultdict[int, int] = defaultdict(int)
        self.mold_use: defaultdict[str, defaultdict[int, int]] = defaultdict(lambda: defaultdict(int))
        self.rack: defaultdict[int, int] = defaultdict(int)
        self.drawn: defaultdict[str, list[tuple[int, int]]] = defaultdict(list)
        self._ways = {(design.key, way.mold): way for design in asked.designs for way in design.yields}
        self._routes = {design.key: _Route(design) for design in asked.designs}
        self._supplies = {
            each.ingredient: (each.on_hand_mg, [(self.number(on), amount) for on, amount in each.deliveries])
            for each in asked.supplies
        }
        for batch in asked.fixed:
            self.book(batch, self.yield_of(batch))

    def number(self, day: date) -> int:
        return (day - self.asked.today).days

    def day(self, number: int) -> date:
        return self.asked.today + timedelta(days=number)

    def yield_of(self, batch: PlannedBatch) -> MoldYield:
        return self._ways[batch.design, batch.mold]

    def usable_ways(self, design: PlanDesign) -> list[MoldYield]:
        """Ways a new batch of the design can be made with the molds and the rack there are."""
        return [
            each
            for each in design.yields
            if each.is_for_new
            and self.owned.get(each.mold_type, 0) >= each.filled
            and each.net_bars > 0
            and each.gross_bars <= self.asked.rack_bars
        ]

    def book(self, batch: PlannedBatch, mold: MoldYield) -> None:
        self.book_days(self.designs[batch.design], mold, {key: self.number(day) for key, day in batch.days})

    def book_days(self, design: PlanDesign, mold: MoldYield, days: Days, *, sign: int = 1) -> None:
        """Book a batch on these days; with sign -1 what was booked is taken back."""
        for step in design.steps:
            self.spend(days[step.key], sign * minutes_of(step, mold.gross_bars))
        self.pours[days[POUR]] += sign
        used = self.mold_use[mold.mold_type]
        for day in range(days[POUR], days[CUT]):
            used[day] += sign * mold.filled
        for day in range(days[CUT], days[RELEASE]):
            self.rack[day] += sign * mold.gross_bars
        if days[POUR] >= 0:
            for ingredient, milligrams in design.uses:
                draw = days[POUR], milligrams * mold.gross_bars
                if sign > 0:
                    self.drawn[ingredient].append(draw)
                else:
                    self.drawn[ingredient].remove(draw)

    def spend(self, day: int, minutes: int) -> None:
        if day in self.minutes:
            self.minutes[day] -= minutes

    def step_days(self, design: PlanDesign, mold: MoldYield, pour_on: int) -> Days | None:
        """Return a day for every step of a pour on this day, or None when some step finds none."""
        route = self._routes[design.key]
        booked: dict[str, tuple[int, int]] = {POUR: (pour_on, minutes_of(route.pour, mold.gross_bars))}
        if not self._fits_bench(booked, pour_on, 0) or not self._place(route.following, POUR, pour_on, mold, booked):
            return None
        return {key: day for key, (day, _) in booked.items()}

    def _place(
        self,
        following: dict[str, list[PlanStep]],
        anchor: str,
        anchor_day: int,
        mold: MoldYield,
        booked: dict[str, tuple[int, int]],
    ) -> bool:
        """Place the steps counted from this one, each with its own followers; takes back what leads nowhere."""
        for step in following.get(anchor, ()):
            minutes = minutes_of(step, mold.gross_bars)
            for day in self._window(step, anchor_day):
                if not self._fits_bench(booked, day, minutes):
                    continue
                before = dict(booked)
                booked[step.key] = (day, minutes)
                if self._place(following, step.key, day, mold, booked):
                    break
                booked.clear()
                booked.update(before)
            else:
                return False
        return True

    def _fits_bench(self, booked: dict[str, tuple[int, int]], day: int, minutes: int) -> bool:
        there = self.minutes.get(day, -1) - minutes
        return there >= 0 and there >= sum(spent for on, spent in booked.values() if on == day)

    def _window(self, step: PlanStep, anchor_day: int) -> Iterator[int]:
        """The open days a step may fall on: as late as can be before a pour, as early as can be after it."""
        first = bisect_left(self.open_days, anchor_day + step.least_days)
        last = len(self.open_days)
        if step.most_days is not None:
            last = bisect_right(self.open_days, anchor_day + step.most_days)
        places = range(first, last)
        return (self.open_days[place] for place in (reversed(places) if step.least_days < 0 else places))

    def refusal_at_once(self, design: PlanDesign, mold: MoldYield, pour_on: int) -> str:
        """Return what a pour on this day runs into whatever its other steps, or an empty text."""
        if self.pours[pour_on] >= self.asked.pours_per_day:
            return "pours"
        if self.mold_use[mold.mold_type][pour_on] + mold.filled > self.owned.get(mold.mold_type, 0):
            return "mold"
        sure = self._routes[design.key].sure_on_rack
        if sure and self._is_over_rack(mold, pour_on + sure[0], pour_on + sure[1]):
            return "rack"
        return self._supply_refusal(design, mold, pour_on)

    def refusal(self, design: PlanDesign, mold: MoldYield, days: Days) -> str:
        """Return what these days run into, or an empty text when they fit."""
        cause = self.refusal_at_once(design, mold, days[POUR])
        if cause:
            return cause
        owned, used = self.owned.get(mold.mold_type, 0) - mold.filled, self.mold_use[mold.mold_type]
        if any(used[day] > owned for day in range(days[POUR], days[CUT])):
            return "mold"
        return "rack" if self._is_over_rack(mold, days[CUT], days[RELEASE]) else ""

    def _is_over_rack(self, mold: MoldYield, first: int, last: int) -> bool:
        room = self.asked.rack_bars - mold.gross_bars
        return any(self.rack[day] > room for day in range(first, last))

    def _supply_refusal(self, design: PlanDesign, mold: MoldYield, pour_on: int) -> str:
        for ingredient, milligrams in design.uses:
            if not self._is_supplied(ingredient, pour_on, milligrams * mold.gross_bars):
                return "ingredient"
        return ""

    def _is_supplied(self, ingredient: str, pour_on: int, milligrams: int) -> bool:
        """Say whether all draws stay covered: before each later delivery, and in the end."""
        if ingredient not in self._supplies:
            return True
        on_hand, deliveries = self._supplies[ingredient]
        draws = self.drawn[ingredient]
        if milligrams + sum(amount for _, amount in draws) <= on_hand:
            return True
        for until in (*(on - 1 for on, _ in deliveries if on > pour_on), FAR):
            there = on_hand + sum(amount for on, amount in deliveries if on <= until)
            if milligrams + sum(amount for on, amount in draws if on <= until) > there:
                return False
        return True


class _Route:
    """The steps of a design by what they wait for, and the days from the pour it is on the rack in any case."""

    def __init__(self, design: PlanDesign) -> None:
        steps = {step.key: step for step in design.steps}
        self.pour = steps[POUR]
        self.following: dict[str, list[PlanStep]] = {}
        for step in design.steps:
            if step.key != POUR:
                self.following.setdefault(step.anchor, []).append(step)
        cut, release = steps[CUT], steps[RELEASE]
        self.sure_on_rack: tuple[int, int] | None = None
        if release.anchor == POUR and cut.anchor == POUR and cut.most_days is not None:
            self.sure_on_rack = cut.most_days, release.least_days
