"""Which molds to fill for so many bars: the fewest pours, then the least left over, then the fewest molds."""

from collections import Counter
from dataclasses import dataclass

from formulas.geometry import MoldError, MoldTooSmall


@dataclass(frozen=True)
class MoldOffer:
    """A mold that fits the design: good bars from one filling, and how many of it can be filled at one pour."""

    name: str
    usable_bars: int
    owned: int = 1


@dataclass(frozen=True)
class MoldUse:
    name: str
    molds: int
    bars: int


@dataclass(frozen=True)
class MoldPour:
    """The molds that are filled from one pot."""

    uses: tuple[MoldUse, ...]
    bars: int


@dataclass(frozen=True)
class MoldPlan:
    pours: tuple[MoldPour, ...]
    bars_made: int
    left_over: int

    @property
    def batches(self) -> int:
        return len(self.pours)

    @property
    def uses(self) -> tuple[MoldUse, ...]:
        """The fillings of each mold over all pours."""
        molds: Counter[str] = Counter()
        bars: Counter[str] = Counter()
        for use in (use for pour in self.pours for use in pour.uses):
            molds[use.name] += use.molds
            bars[use.name] += use.bars
        return tuple(MoldUse(name, count, bars[name]) for name, count in molds.items())


def choose_molds(
    bars_needed: int,
    molds: tuple[MoldOffer, ...],
    *,
    most_bars_per_pour: int | None = None,
    most_pours: int | None = None,
) -> MoldPlan:
    """Return the plan with the fewest pours, then the fewest bars left over, then the fewest molds.

    All offers must give the bar that was ordered; one pour fills each owned mold at most once.
    """
    if bars_needed < 1:
        raise MoldError("There are no bars to pour. Give at least one bar.")
    fillings = _fillings_of_one_pour(molds, most_bars_per_pour)
    if not fillings:
        raise MoldTooSmall(_nothing_fits(molds, most_bars_per_pour))
    pours = -(-bars_needed // max(fillings))
    if most_pours is not None and pours > most_pours:
        raise MoldTooSmall(
            f"{bars_needed} bars are needed, and {_pours(most_pours)} of these molds can give only "
            f"{most_pours * max(fillings)}. Add a mold, or plan {_pours(pours)}."
        )
    sums = _bars_of_each_pour(bars_needed, tuple(fillings), pours)
    planned = tuple(_pour(fillings[bars], molds) for bars in sums)
    made = sum(sums)
    return MoldPlan(planned, made, made - bars_needed)


def _fillings_of_one_pour(offers: tuple[MoldOffer, ...], most_bars: int | None) -> dict[int, tuple[int, ...]]:
    """Return, for each number of bars one pour can give, how many of each mold give it with the fewest molds."""
    best: dict[int, tuple[int, ...]] = {0: ()}
    for offer in offers:
        grown: dict[int, tuple[int, ...]] = {}
        for bars, counts in best.items():
            for count in range(max(offer.owned, 0) + 1 if offer.usable_bars > 0 else 1):
                total = bars + count * offer.usable_bars
                if most_bars is not None and total > most_bars:
                    break
                wider = (*counts, count)
                if total not in grown or sum(wider) < sum(grown[total]):
                    grown[total] = wider
        best = grown
    return {bars: counts for bars, counts in sorted(best.items(), reverse=True) if bars > 0}


def _bars_of_each_pour(bars_needed: int, choices: tuple[int, ...], pours: int) -> tuple[int, ...]:
    """Return the bars of each pour, largest first, with the smallest sum that reaches the bars needed.

    Bit n of a whole number stands for "a sum of n bars can be reached".
    """
    reached = [1]
    for _ in range(pours):
        sums = 0
        for bars in choices:
            sums |= reached[-1] << bars
        reached.append(sums)
    above = reached[pours] >> bars_needed
    total = bars_needed + (above & -above).bit_length() - 1
    plan = []
    for left in range(pours - 1, -1, -1):
        bars = next(bars for bars in choices if bars <= total and reached[left] >> (total - bars) & 1)
        plan.append(bars)
        total -= bars
    return tuple(sorted(plan, reverse=True))


def _pour(counts: tuple[int, ...], offers: tuple[MoldOffer, ...]) -> MoldPour:
    uses = tuple(
        MoldUse(offer.name, count, count * offer.usable_bars)
        for offer, count in zip(offers, counts, strict=True)
        if count
    )
    return MoldPour(uses, sum(use.bars for use in uses))


def _nothing_fits(offers: tuple[MoldOffer, ...], most_bars: int | None) -> str:
    if not any(offer.usable_bars > 0 and offer.owned > 0 for offer in offers):
        return "No mold that you own gives this bar. Add a mold, or choose another bar size."
    least = min(offer.usable_bars for offer in offers if offer.usable_bars > 0 and offer.owned > 0)
    return (
        f"One pour makes {most_bars} bars at most, and the smallest mold takes {least}. "
        "Use a bigger pot, or a smaller mold."
    )


def _pours(count: int) -> str:
    return "1 pour" if count == 1 else f"{count} pours"
