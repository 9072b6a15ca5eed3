"""Which bars carry which parts: "a topper on 5 of 12, a seal on all" becomes groups that add up to the bars."""

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

PLAIN = "plain"
When = Literal["pour", "cut", "cured"]


class FinishError(ValueError):
    """The parts asked for do not fit the bars. The message tells the mend."""


@dataclass(frozen=True)
class FinishWant:
    """One part and the number of bars it goes on. Parts of one kind on some bars never share a bar."""

    part_key: str
    bars: int
    at: When = "cut"
    kind: str = ""
    pieces_per_bar: int = 1
    name: str = ""  # what people call the part, for what is said about it

    @property
    def called(self) -> str:
        return self.name or self.part_key


@dataclass(frozen=True)
class FinishGroup:
    """Bars that are finished alike. The key is the sorted part keys joined by +, or "plain"."""

    key: str
    part_keys: tuple[str, ...]
    bars: int


@dataclass(frozen=True)
class PartNeed:
    part_key: str
    at: When
    pieces: int


def finish_key(part_keys: tuple[str, ...]) -> str:
    return "+".join(sorted(part_keys)) or PLAIN


def finish_groups(bars: int, wants: tuple[FinishWant, ...]) -> tuple[FinishGroup, ...]:
    """Return the groups of bars finished alike; their counts add up to the bars.

    A part on every bar joins each group. Parts of one kind on some bars take one stretch of bars after another;
    each kind starts again at the first bar, so a bar can carry a topper and an embed but never two toppers.
    """
    _check(bars, wants)
    every = tuple(want.part_key for want in wants if want.bars == bars)
    stretches = _stretches(bars, tuple(want for want in wants if want.bars < bars))
    cuts = sorted({0, bars, *(edge for first, last, _ in stretches for edge in (first, last))})
    counted: dict[tuple[str, ...], int] = {}
    for first, last in pairwise(cuts):
        some = tuple(key for start, end, key in stretches if start <= first and last <= end)
        part_keys = tuple(sorted(every + some))
        counted[part_keys] = counted.get(part_keys, 0) + last - first
    return tuple(FinishGroup(finish_key(part_keys), part_keys, count) for part_keys, count in counted.items())


def part_needs(wants: tuple[FinishWant, ...]) -> tuple[PartNeed, ...]:
    """Return the pieces each part needs, without spares."""
    return tuple(PartNeed(want.part_key, want.at, want.bars * want.pieces_per_bar) for want in wants)


def _stretches(bars: int, wants: tuple[FinishWant, ...]) -> tuple[tuple[int, int, str], ...]:
    taken: dict[str, int] = {}
    stretches = []
    for want in wants:
        kind = want.kind or want.part_key
        first = taken.get(kind, 0)
        last = first + want.bars
        if last > bars:
            raise FinishError(
                f"The {kind}s are asked for on {last} bars, but there are only {bars}. "
                f"Take {last - bars} off, or pour more bars."
            )
        taken[kind] = last
        stretches.append((first, last, want.part_key))
    return tuple(stretches)


def _check(bars: int, wants: tuple[FinishWant, ...]) -> None:
    if bars < 1:
        raise FinishError("There are no bars to finish. Give at least one bar.")
    keys = [want.part_key for want in wants]
    for want in wants:
        if want.bars < 1 or want.pieces_per_bar < 1:
            raise FinishError(f"{want.called} is asked for on no bar. Say on how many bars it goes, or take it out.")
        if want.bars > bars:
            raise FinishError(
                f"{want.called} is asked for on {want.bars} bars, but there are only {bars}. "
                f"Ask for {bars} at most, or pour more bars."
            )
        if keys.count(want.part_key) > 1:
            raise FinishError(f"{want.called} is listed twice. Put it in one line with the sum of its bars.")
        if "+" in want.part_key or want.part_key in ("", PLAIN):
            raise FinishError(f'"{want.part_key}" cannot be the short name of a part. Choose another short name.')
