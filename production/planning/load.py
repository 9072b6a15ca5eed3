"""What is already booked while a plan is being built: bench minutes, pours, molds, rack places and ingredients."""

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


def days_between(first: date, last: date) -> Iterator[date]:
    """Yield the days from first up to, but not including, last."""
    for ahead in range((last - first).days):
        yield first + timedelta(days=ahead)


class Load:
    """Books batches and packing, and says why a batch does not fit on a day."""

    def __init__(self, asked: PlanInput) -> None:
        self.asked = asked
        self.designs = {design.key: design for design in asked.designs}
        self.minutes = {each.day: each.minutes for each in asked.bench if each.day >= asked.today}
        self.owned = dict(asked.molds)
        self.open_days = sorted(day for day, minutes in self.minutes.items() if minutes > 0)
        self.pours: dict[date, int] = defaultdict(int)
        self.mold_use: dict[tuple[str, date], int] = defaultdict(int)
        self.rack: dict[date, int] = defaultdict(int)
        self.drawn: dict[str, list[tuple[date, int]]] = defaultdict(list)
        for batch in asked.fixed:
            self.book(batch, self.yield_of(batch))

    def yield_of(self, batch: PlannedBatch) -> MoldYield:
        return next(each for each in self.designs[batch.design].yields if each.mold == batch.mold)

    def book(self, batch: PlannedBatch, mold: MoldYield) -> None:
        design, days = self.designs[batch.design], dict(batch.days)
        for step in design.steps:
            self.spend(days[step.key], minutes_of(step, mold.gross_bars))
        self.pours[days[POUR]] += 1
        for day in days_between(days[POUR], days[CUT]):
            self.mold_use[mold.mold_type, day] += mold.filled
        for day in days_between(days[CUT], days[RELEASE]):
            self.rack[day] += mold.gross_bars
        if days[POUR] >= self.asked.today:
            for ingredient, milligrams in design.uses:
                self.drawn[ingredient].append((days[POUR], milligrams * mold.gross_bars))

    def spend(self, day: date, minutes: int) -> None:
        if day in self.minutes:
            self.minutes[day] -= minutes

    def step_days(self, design: PlanDesign, mold: MoldYield, pour_on: date) -> dict[str, date] | None:
        """Return a day for every step of a pour on this day, or None when some step finds none."""
        following: dict[str, list[PlanStep]] = defaultdict(list)
        for step in design.steps:
            if step.key != POUR:
                following[step.anchor].append(step)
        pour = next(step for step in design.steps if step.key == POUR)
        booked: dict[str, tuple[date, int]] = {POUR: (pour_on, minutes_of(pour, mold.gross_bars))}
        if not self._fits_bench(booked, pour_on, 0) or not self._place(following, POUR, pour_on, mold, booked):
            return None
        return {key: day for key, (day, _) in booked.items()}

    def _place(
        self,
        following: dict[str, list[PlanStep]],
        anchor: str,
        anchor_day: date,
        mold: MoldYield,
        booked: dict[str, tuple[date, int]],
    ) -> bool:
        """Place the steps counted from this one, each with its own followers; takes back what leads nowhere."""
        for step in following[anchor]:
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

    def _fits_bench(self, booked: dict[str, tuple[date, int]], day: date, minutes: int) -> bool:
        there = self.minutes.get(day, -1) - minutes
        return there >= 0 and there >= sum(spent for on, spent in booked.values() if on == day)

    def _window(self, step: PlanStep, anchor_day: date) -> Iterator[date]:
        """The open days a step may fall on: as late as can be before a pour, as early as can be after it."""
        first = bisect_left(self.open_days, anchor_day + timedelta(days=step.least_days))
        last = len(self.open_days)
        if step.most_days is not None:
            last = bisect_right(self.open_days, anchor_day + timedelta(days=step.most_days))
        places = range(first, last)
        return (self.open_days[place] for place in (reversed(places) if step.least_days < 0 else places))

    def refusal_at_once(self, design: PlanDesign, mold: MoldYield, pour_on: date) -> str:
        """Return what a pour on this day runs into whatever its other steps, or an empty text."""
        if self.pours[pour_on] >= self.asked.pours_per_day:
            return "pours"
        if self.mold_use[mold.mold_type, pour_on] + mold.filled > self.owned.get(mold.mold_type, 0):
            return "mold"
        release = next(step for step in design.steps if step.key == RELEASE)
        cut = next(step for step in design.steps if step.key == CUT)
        if release.anchor == POUR and cut.anchor == POUR and cut.most_days is not None:
            first, last = pour_on + timedelta(days=cut.most_days), pour_on + timedelta(days=release.least_days)
            if any(self.rack[day] + mold.gross_bars > self.asked.rack_bars for day in days_between(first, last)):
                return "rack"
        return ""

    def refusal(self, design: PlanDesign, mold: MoldYield, days: dict[str, date]) -> str:
        """Return what these days run into, or an empty text when they fit."""
        if self.pours[days[POUR]] >= self.asked.pours_per_day:
            return "pours"
        in_mold = days_between(days[POUR], days[CUT])
        owned = self.owned.get(mold.mold_type, 0)
        if any(self.mold_use[mold.mold_type, day] + mold.filled > owned for day in in_mold):
            return "mold"
        on_rack = days_between(days[CUT], days[RELEASE])
        if any(self.rack[day] + mold.gross_bars > self.asked.rack_bars for day in on_rack):
            return "rack"
        for ingredient, milligrams in design.uses:
            if not self._is_supplied(ingredient, days[POUR], milligrams * mold.gross_bars):
                return "ingredient"
        return ""

    def _is_supplied(self, ingredient: str, pour_on: date, milligrams: int) -> bool:
        supply = next((each for each in self.asked.supplies if each.ingredient == ingredient), None)
        if supply is None:
            return True
        draws = [*self.drawn[ingredient], (pour_on, milligrams)]
        for day in {on for on, _ in draws}:
            there = supply.on_hand_mg + sum(amount for on, amount in supply.deliveries if on <= day)
            if sum(amount for on, amount in draws if on <= day) > there:
                return False
        return True
