"""Better a plan without a solver: take batches out, share their lines out anew, put them back, keep what is better.

Made for the workshop that has promised too much, where late days pile up. The same seed gives the same plan.
"""

import math
import random
from bisect import bisect_left
from collections import Counter, defaultdict
from datetime import date

from production.planning.drafts import AS_SOON_AS_CAN_BE, Draft, batch_of, group, place
from production.planning.load import FAR, Load
from production.planning.plan_check import score
from production.planning.plan_records import POUR, RELEASE, Plan, PlanInput, PlanLine, PlanResult, Share
from production.planning.watch import UNWATCHED, Watch

# Days within which lines may share a pour: each try takes one of them.
SPANS = (0, 3, 10, 21, 40, 90)
# How many batches a try takes out, and how far a worse plan is still walked on from, as a part of its late days.
FEWEST_OUT, MOST_OUT = 2, 9
WARM, COLD = 0.03, 0.0005
SOON_SHARE, WHOLE_DESIGN_SHARE, TOP_UP_SHARE = 0.7, 0.3, 0.5

# After so many tries without a better plan, and so many more for each batch, the search gives up.
PATIENCE, PATIENCE_A_BATCH = 300, 20

Value = tuple[int, int]


def search(
    asked: PlanInput, start: PlanResult, *, tries: int, least: int = 0, seed: int = 7, watch: Watch = UNWATCHED
) -> PlanResult:
    """Return a plan no worse than the one given; stops early when no more days are late than `least`."""
    if start.unplaced or start.score.late_days <= least:
        return start
    shop = _Shop(asked, start.plan, random.Random(seed))  # noqa: S311
    value = shop.value()
    best, best_value, last_gain = shop.copy(), value, 0
    patience = PATIENCE + PATIENCE_A_BATCH * len(shop.drafts)
    for turn in range(tries):
        if watch.is_over or turn - last_gain > patience:
            break
        heat = max(value[0], 1) * WARM * (COLD / WARM) ** (turn / tries)
        before = shop.copy()
        if not shop.change():
            shop.restore(before)
            continue
        found = shop.value()
        worse = found[0] - value[0]
        if found <= value or (worse > 0 and shop.chance.random() < math.exp(-worse / heat)):
            value = found
        else:
            shop.restore(before)
        if found < best_value:
            best, best_value, last_gain = shop.copy(), found, turn
            watch.note(found[0])
            if best_value[0] <= least:
                break
    shop.restore(best)
    plan = shop.plan()
    result = PlanResult(plan, score(asked, plan))
    return min(start, result, key=lambda each: each.score.order)


class _Shop:
    """A whole plan that can be changed and taken back: drafts with their days, booked in one load."""

    def __init__(self, asked: PlanInput, plan: Plan, chance: random.Random) -> None:
        self.asked, self.chance, self.load = asked, chance, Load(asked)
        self.lines = {line.key: line for line in asked.lines}
        self.due = {line.key: self.load.number(line.due_on) for line in asked.lines}
        self.minutes = {
            line.key: -(-self.load.designs[line.design].pack_tenths_per_bar * line.bars // 10) for line in asked.lines
        }
        self.in_turn = sorted(asked.lines, key=lambda line: (line.due_on, -line.weight, line.key))
        self.planned = {each.key for each in asked.movable}
        fixed = {each.key for each in asked.fixed}
        self.given = tuple(share for share in plan.shares if share.source in fixed | {lot.key for lot in asked.stock})
        self.drafts: list[Draft] = []
        serves: defaultdict[str, list[tuple[PlanLine, int]]] = defaultdict(list)
        for share in plan.shares:
            serves[share.source].append((self.lines[share.line], share.bars))
        for batch in plan.batches:
            if batch.key in fixed:
                continue
            days = {key: self.load.number(day) for key, day in batch.days}
            design = self.load.designs[batch.design]
            wish = batch.on(RELEASE)
            draft = Draft(batch.key, design, self.load.yield_of(batch), serves[batch.key], wish, days)
            self.load.book_days(design, draft.mold, days)
            self.drafts.append(draft)
        self.first_ready, self.last_ready = self._from_what_exists()

    def _from_what_exists(self) -> tuple[dict[str, int], dict[str, int]]:
        """The first and last day each line can be packed for what it gets from stock and from batches that stand."""
        ready = {lot.key: self.load.number(lot.ready_on) for lot in self.asked.stock}
        ready |= {each.key: self.load.number(each.on(RELEASE)) for each in self.asked.fixed}
        use_by = {lot.key: self.load.number(lot.use_by) for lot in self.asked.stock if lot.use_by}
        first: dict[str, int] = {}
        last: dict[str, int] = {}
        for share in self.given:
            first[share.line] = max(first.get(share.line, 0), ready[share.source])
            last[share.line] = min(last.get(share.line, FAR), use_by.get(share.source, FAR))
        return first, last

    def copy(self) -> list[Draft]:
        """Drafts are never changed once placed, so the list is enough."""
        return list(self.drafts)

    def restore(self, drafts: list[Draft]) -> None:
        kept, now = {id(each) for each in drafts}, {id(each) for each in self.drafts}
        for each in self.drafts:
            if id(each) not in kept:
                self._book(each, sign=-1)
        for each in drafts:
            if id(each) not in now:
                self._book(each, sign=1)
        self.drafts = drafts

    def _book(self, draft: Draft, *, sign: int) -> None:
        if draft.days is not None:
            self.load.book_days(draft.design, draft.mold, draft.days, sign=sign)

    def packs(self) -> dict[str, int] | None:
        """Pack each line on the first day its bars and the minutes are there; None when one finds none."""
        ready = dict(self.first_ready)
        for draft in self.drafts:
            release = (draft.days or {})[RELEASE]
            for line, _ in draft.serves:
                ready[line.key] = max(ready.get(line.key, 0), release)
        left, days = dict(self.load.minutes), self.load.open_days
        packs: dict[str, int] = {}
        for line in self.in_turn:
            key, minutes = line.key, self.minutes[line.key]
            for at in range(bisect_left(days, ready.get(key, 0)), len(days)):
                if left[days[at]] >= minutes:
                    break
            else:
                return None
            if days[at] > self.last_ready.get(key, FAR):
                return None
            left[days[at]] -= minutes
            packs[key] = days[at]
        return packs

    def late(self, packs: dict[str, int]) -> Counter[str]:
        """Weighted late days of each late line."""
        found = Counter[str]()
        for line in self.asked.lines:
            if packs[line.key] >= self.due[line.key]:
                found[line.key] = line.weight * (packs[line.key] + 1 - self.due[line.key])
        return found

    def value(self) -> Value:
        packs = self.packs()
        if packs is None:
            return FAR * FAR, 0
        self.cost = self.late(packs)
        fresh = [each for each in self.drafts if each.key not in self.planned]
        left = sum(each.mold.net_bars - sum(bars for _, bars in each.serves) for each in fresh)
        return self.cost.total(), 1000 * len(fresh) + left

    def change(self) -> bool:
        """Take some batches out and put them back another way; False when one of them finds no day."""
        out = self._taken_out()
        gone = {id(each) for each in out}
        for each in out:
            self._book(each, sign=-1)
        self.drafts = [each for each in self.drafts if id(each) not in gone]
        drafts = [self._again(each) for each in out if each.key in self.planned]
        drafts += self._regrouped([each for each in out if each.key not in self.planned])
        weight = self.chance.choice((0, 0, 5, 15))
        noise = self.chance.choice((0, 5, 20, 60))
        turn = {
            id(each): each.start_by.toordinal()
            - weight * max((line.weight for line, _ in each.serves), default=0)
            + self.chance.uniform(-noise, noise)
            for each in drafts
        }
        for draft in sorted(drafts, key=lambda each: turn[id(each)]):
            wish = AS_SOON_AS_CAN_BE if self.chance.random() < SOON_SHARE else self.asked.buffer_days
            place(self.load, draft, wish)
            if draft.days is None:
                return False
            self.drafts.append(draft)
        return True

    def _taken_out(self) -> list[Draft]:
        """A batch of a late line, and others: of its design, or poured around it and before it."""
        cost = [1 + sum(self.cost[line.key] for line, _ in each.serves) for each in self.drafts]
        seed = self.chance.choices(self.drafts, cost)[0]
        count = self.chance.randint(FEWEST_OUT, MOST_OUT)
        if self.chance.random() < WHOLE_DESIGN_SHARE:
            near = [each for each in self.drafts if each.design is seed.design]
        else:
            near = list(self.drafts)
        at = (seed.days or {})[POUR]
        reach = self.chance.choice((7, 20, 60))
        near = [each for each in near if each is not seed and -reach <= at - (each.days or {})[POUR] <= reach]
        return [seed, *self.chance.sample(near, min(count - 1, len(near)))]

    def _again(self, draft: Draft) -> Draft:
        return Draft(draft.key, draft.design, draft.mold, draft.serves, draft.wish)

    def _regrouped(self, out: list[Draft]) -> list[Draft]:
        """Share the lines of these batches out over new ones, and over what others have left in time."""
        need: dict[str, int] = {}
        for draft in out:
            for line, bars in draft.serves:
                need[line.key] = need.get(line.key, 0) + bars
        if self.chance.random() < TOP_UP_SHARE:
            self._top_up(need)
        taken = {each.key for each in self.drafts}
        drafts: list[Draft] = []
        for key in dict.fromkeys(draft.design.key for draft in out):
            waiting = [(line, need[line.key]) for line in self.in_turn if line.design == key and need.get(line.key)]
            if waiting and self.chance.random() < 0.3:
                self.chance.shuffle(waiting)
            drafts += group(self.load, self.load.designs[key], waiting, self.chance.choice(SPANS))
        number = 0
        for draft in drafts:
            number += 1
            while f"new-{number}" in taken:
                number += 1
            draft.key = f"new-{number}"
        return drafts

    def _top_up(self, need: dict[str, int]) -> None:
        """Give bars that standing batches have left to lines that can wait for their release."""
        for place_of, draft in enumerate(self.drafts):
            left = draft.mold.net_bars - sum(bars for _, bars in draft.serves)
            if left <= 0 or draft.key in self.planned:
                continue
            release, serves = (draft.days or {})[RELEASE], list(draft.serves)
            for key in [key for key in need if self.lines[key].design == draft.design.key and need[key]]:
                bars = min(left, need[key])
                if bars and release < self.due[key]:
                    left -= bars
                    need[key] -= bars
                    serves.append((self.lines[key], bars))
            if len(serves) > len(draft.serves):
                again = Draft(draft.key, draft.design, draft.mold, _joined(serves), draft.wish, draft.days)
                self.drafts[place_of] = again

    def plan(self) -> Plan:
        """Return the plan as it stands now."""
        packs = self.packs() or {}
        shares = [*self.given]
        for draft in self.drafts:
            shares += [Share(line.key, draft.key, bars) for line, bars in _joined(draft.serves)]
        batches = (*self.asked.fixed, *(batch_of(self.load, draft) for draft in self.drafts))
        dated: list[tuple[str, date]] = [(key, self.load.day(day)) for key, day in packs.items()]
        return Plan(batches, tuple(shares), tuple(dated))


def _joined(serves: list[tuple[PlanLine, int]]) -> list[tuple[PlanLine, int]]:
    """Add up what a line gets twice."""
    found: dict[str, tuple[PlanLine, int]] = {}
    for line, bars in serves:
        found[line.key] = (line, bars + found.get(line.key, (line, 0))[1])
    return list(found.values())
