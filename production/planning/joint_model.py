"""The plan as a model for a solver: batches, ways of filling, days, bars for lines and packing, all decided together.

Days are whole numbers from today (0). The model takes `cp_model` as an argument, so that this file can be read and
imported where no solver is installed.
"""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

from production.planning.bounds import Earliest
from production.planning.load import FAR, Load
from production.planning.plan_records import (
    ANY_FINISH,
    CUT,
    POUR,
    RELEASE,
    MoldYield,
    Plan,
    PlanDesign,
    PlanInput,
    PlanLine,
    PlanStock,
    minutes_of,
)


@dataclass
class Candidate:
    """A batch that may be poured: `must` when it is planned already."""

    key: str
    design: PlanDesign
    ways: tuple[MoldYield, ...]
    must: bool
    present: Any = None
    chosen: dict[str, Any] = field(default_factory=dict)
    days: dict[str, Any] = field(default_factory=dict)
    bars: dict[str, Any] = field(default_factory=dict)
    serves: dict[str, Any] = field(default_factory=dict)


class JointModel:
    """Builds the model once; `late`, `count` and `off` are the three goals in the order of their weight."""

    def __init__(self, cp: Any, asked: PlanInput, start: Plan, earliest: Earliest, *, spare: int) -> None:
        self.cp, self.asked, self.load, self.earliest = cp, asked, Load(asked), earliest
        self.model = cp.CpModel()
        self.open = cp.Domain.from_values(self.load.open_days)
        self.spare = spare
        self.sources = self._sources()
        self.candidates = self._candidates(start)
        self.given: dict[tuple[str, str], Any] = {}
        self.packs: dict[str, Any] = {}
        self.late_of: dict[str, Any] = {}
        self._intervals: dict[str, list[tuple[Any, int]]] = defaultdict(list)
        for candidate in self.candidates:
            self._add_batch(candidate)
        for line in asked.lines:
            self._add_line(line)
        for candidate in self.candidates:
            self._join_bars(candidate)
        self._limit_room()
        self._limit_supplies()
        self._break_ties()
        self.late = sum(line.weight * self.late_of[line.key] for line in asked.lines)
        self.count = self._count()
        self.off = self._off_target()

    def number(self, day: date) -> int:
        return (day - self.asked.today).days

    def day(self, number: int) -> date:
        return self.asked.today + timedelta(days=number)

    def _sources(self) -> list[PlanStock]:
        """Bars that exist or will, whatever is planned: stock, and batches that never move."""
        return [
            *self.asked.stock,
            *(
                PlanStock(each.key, each.design, self.load.yield_of(each).net_bars, each.on(RELEASE), finish=ANY_FINISH)
                for each in self.asked.fixed
            ),
        ]

    def _candidates(self, start: Plan) -> list[Candidate]:
        """Batches planned already, then those of the starting plan in the order of their pours, then the spare ones."""
        known = {each.key for each in (*self.asked.fixed, *self.asked.movable)}
        found = [
            Candidate(each.key, self.load.designs[each.design], (self.load.yield_of(each),), must=True)
            for each in self.asked.movable
        ]
        fresh = sorted((each for each in start.batches if each.key not in known), key=lambda each: each.on(POUR))
        for design in self.asked.designs:
            if not any(line.design == design.key for line in self.asked.lines):
                continue
            ways = tuple(self.load.usable_ways(design))
            keys = [each.key for each in fresh if each.design == design.key]
            taken = len(keys)
            keys += [f"extra-{design.key}-{taken + number + 1}" for number in range(self.spare)]
            found += [Candidate(key, design, ways, must=False) for key in keys if ways]
        return found

    def _add_batch(self, each: Candidate) -> None:
        model = self.model
        each.present = model.new_constant(1) if each.must else model.new_bool_var(f"{each.key} is made")
        each.chosen = {way.mold: model.new_bool_var(f"{each.key} in {way.mold}") for way in each.ways}
        model.add(sum(each.chosen.values()) == each.present)
        for step in each.design.steps:
            each.days[step.key] = model.new_int_var_from_domain(self.open, f"{each.key} {step.key}")
        for step in each.design.steps:
            lag = each.days[step.key] - each.days[step.anchor]
            model.add(lag >= step.least_days)
            if step.most_days is not None:
                model.add(lag <= step.most_days)
            for way in each.ways:
                self._work(each.days[step.key], minutes_of(step, way.gross_bars), each.chosen[way.mold])
        model.add(each.days[RELEASE] >= self.earliest.release[each.design.key])
        self._room("pours", each.days[POUR], 1, each.days[POUR] + 1, 1, each.present)
        in_mold = model.new_int_var(0, FAR, f"{each.key} days in the mold")
        on_rack = model.new_int_var(0, FAR, f"{each.key} days on the rack")
        model.add(in_mold == each.days[CUT] - each.days[POUR])
        model.add(on_rack == each.days[RELEASE] - each.days[CUT])
        for way in each.ways:
            self._room(
                f"mold {way.mold_type}", each.days[POUR], in_mold, each.days[CUT], way.filled, each.chosen[way.mold]
            )
            self._room("rack", each.days[CUT], on_rack, each.days[RELEASE], way.gross_bars, each.chosen[way.mold])

    def _room(self, what: str, start: Any, size: Any, end: Any, amount: int, present: Any) -> None:
        interval = self.model.new_optional_interval_var(
            start, size, end, present, f"{what} {len(self._intervals[what])}"
        )
        self._intervals[what].append((interval, amount))

    def _work(self, day: Any, minutes: int, present: Any) -> None:
        if minutes:
            self._room("bench", day, 1, day + 1, minutes, present)

    def _add_line(self, line: PlanLine) -> None:
        model = self.model
        pack = self.packs[line.key] = model.new_int_var_from_domain(self.open, f"{line.key} packed")
        minutes = -(-self.load.designs[line.design].pack_tenths_per_bar * line.bars // 10)
        self._work(pack, minutes, model.new_constant(1))
        late = self.late_of[line.key] = model.new_int_var(0, FAR, f"{line.key} late")
        model.add(late >= pack + 1 - self.number(line.due_on))
        model.add(pack >= self.earliest.pack[line.key])
        got = []
        for source in self.sources:
            if not source.fits(line):
                continue
            bars, serves = self._share(line, source.key, source.bars)
            model.add(pack >= self.number(source.ready_on)).only_enforce_if(serves)
            if source.use_by is not None:
                model.add(pack <= self.number(source.use_by)).only_enforce_if(serves)
            got.append(bars)
        for each in self.candidates:
            if each.design.key != line.design:
                continue
            most = max(way.net_bars for way in each.ways)
            each.bars[line.key], each.serves[line.key] = self._share(line, each.key, most)
            model.add(pack >= each.days[RELEASE]).only_enforce_if(each.serves[line.key])
            got.append(each.bars[line.key])
        model.add(sum(got) == line.bars)

    def _share(self, line: PlanLine, source: str, most: int) -> tuple[Any, Any]:
        """Bars from one source to one line, and whether there are any; what is reserved is the least."""
        most = min(most, line.bars)
        least = sum(s.bars for s in self.asked.reserved if (s.line, s.source) == (line.key, source))
        bars = self.model.new_int_var(least, max(most, least), f"{source} for {line.key}")
        serves = self.model.new_bool_var(f"{source} serves {line.key}")
        self.model.add(bars <= max(most, least) * serves)
        self.model.add(bars >= serves)
        self.given[line.key, source] = (bars, serves)
        return bars, serves

    def _join_bars(self, each: Candidate) -> None:
        net = sum(way.net_bars * each.chosen[way.mold] for way in each.ways)
        if each.bars:
            self.model.add(sum(each.bars.values()) <= net)
        if not each.must:
            self.model.add(sum(each.bars.values()) >= each.present)

    def _limit_room(self) -> None:
        for source in self.sources:
            shares = [bars for (_, key), (bars, _) in self.given.items() if key == source.key]
            self.model.add(sum(shares) <= source.bars)
        bench = {day: max(self.load.minutes[day], 0) for day in self.load.open_days}
        most = max(bench.values())
        self._limit("bench", most, {day: most - minutes for day, minutes in bench.items()})
        self._limit("pours", self.asked.pours_per_day, self.load.pours)
        self._limit("rack", self.asked.rack_bars, self.load.rack)
        for mold, owned in self.asked.molds:
            self._limit(f"mold {mold}", owned, self.load.mold_use[mold])

    def _limit(self, what: str, most: int, taken: dict[int, int]) -> None:
        """At no time more than this; days on which pinned batches take room of their own keep the rest."""
        intervals = [interval for interval, _ in self._intervals[what]]
        if not intervals:
            return
        amounts = [amount for _, amount in self._intervals[what]]
        for day, amount in taken.items():
            if amount > 0 and day >= 0:
                intervals.append(self.model.new_fixed_size_interval_var(day, 1, f"{what} taken on {day}"))
                amounts.append(min(amount, most))
        self.model.add_cumulative(intervals, amounts, most)

    def _limit_supplies(self) -> None:
        """Before each delivery, and at the end, no more is drawn than there is."""
        for supply in self.asked.supplies:
            users = [each for each in self.candidates if dict(each.design.uses).get(supply.ingredient)]
            for until in (*sorted({on for on, _ in supply.deliveries if on > self.asked.today}), None):
                there = supply.on_hand_mg + sum(mg for on, mg in supply.deliveries if until is None or on < until)
                last = FAR if until is None else self.number(until)
                pinned = sum(mg for on, mg in self.load.drawn[supply.ingredient] if on < last)
                drawn = [self._drawn(each, supply.ingredient, until) for each in users]
                self.model.add(sum(drawn) <= max(there - pinned, 0))

    def _drawn(self, each: Candidate, ingredient: str, until: date | None) -> Any:
        per_bar = dict(each.design.uses)[ingredient]
        all_of_it = sum(per_bar * way.gross_bars * each.chosen[way.mold] for way in each.ways)
        if until is None:
            return all_of_it
        before = self.model.new_bool_var(f"{each.key} before {until}")
        self.model.add(each.days[POUR] >= self.number(until)).only_enforce_if(before.negated())
        most = per_bar * max(way.gross_bars for way in each.ways)
        drawn = self.model.new_int_var(0, most, f"{each.key} draws {ingredient} before {until}")
        self.model.add(drawn >= all_of_it).only_enforce_if(before)
        return drawn

    def _break_ties(self) -> None:
        """Batches of one design are alike: the spare ones come last, and pours follow each other."""
        for design in self.asked.designs:
            fresh = [each for each in self.candidates if each.design is design and not each.must]
            for first, second in pairwise(fresh):
                self.model.add_implication(second.present, first.present)
                self.model.add(first.days[POUR] <= second.days[POUR]).only_enforce_if(second.present)

    def _count(self) -> Any:
        fresh = [each for each in self.candidates if not each.must]
        made = sum(way.net_bars * each.chosen[way.mold] for each in fresh for way in each.ways)
        given = sum(bars for each in fresh for bars in each.bars.values())
        return 1000 * sum(each.present for each in fresh) + made - given

    def _off_target(self) -> Any:
        """Days between each release and the day it is wished (the first due day it serves, less the buffer), and days
        that bars lie on the rack longer than they must."""
        due = {line.key: self.number(line.due_on) for line in self.asked.lines}
        away = []
        for each in self.candidates:
            if not each.bars:
                continue
            first = self.model.new_int_var(-FAR, 3 * FAR, f"{each.key} first due")
            self.model.add_min_equality(first, [FAR + (due[key] - FAR) * serves for key, serves in each.serves.items()])
            off = self.model.new_int_var(0, 3 * FAR, f"{each.key} off target")
            some = self.model.new_bool_var(f"{each.key} serves somebody")
            self.model.add_max_equality(some, list(each.serves.values()))
            gap = first - self.asked.buffer_days - each.days[RELEASE]
            release = next(step for step in each.design.steps if step.key == RELEASE)
            longer = each.days[RELEASE] - each.days[release.anchor] - release.least_days
            self.model.add(off >= longer + gap).only_enforce_if(some)
            self.model.add(off >= longer - gap).only_enforce_if(some)
            away.append(off)
        return sum(away)
