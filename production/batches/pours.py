"""Which bars go into which pot: what is still asked for, and how it is shared out over several pours. No Django."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from formulas.finishes import FinishWant


def open_wants(wants: Sequence[FinishWant], *, planned: Mapping[str, int], open_bars: int) -> tuple[FinishWant, ...]:
    """Return the parts that the bars not planned yet still ask for. ``planned`` counts bars with a part, by its key."""
    found = []
    for want in wants:
        left = min(max(want.bars - planned.get(want.part_key, 0), 0), open_bars)
        if left:
            found.append(replace(want, bars=left))
    return tuple(found)


def wants_by_pour(wants: Sequence[FinishWant], bars_by_pour: Sequence[int]) -> tuple[tuple[FinishWant, ...], ...]:
    """Share the parts out over the pours, first come first served; the bars of the pours add up to all bars.

    A part on every bar goes into each pour. Parts of one kind on some bars take one bar after another, so that no bar
    gets two of a kind.
    """
    still, left = list(wants), sum(bars_by_pour)
    found = []
    for bars in bars_by_pour:
        here, still = _first_part(still, bars=bars, of_bars=left)
        found.append(here)
        left -= bars
    return tuple(found)


def _first_part(
    wants: Sequence[FinishWant], *, bars: int, of_bars: int
) -> tuple[tuple[FinishWant, ...], list[FinishWant]]:
    here, rest = [], []
    taken: dict[str, int] = {}
    for want in wants:
        is_on_every_bar = want.bars == of_bars
        kind = want.kind or want.part_key
        room = bars if is_on_every_bar else bars - taken.get(kind, 0)
        now = min(want.bars, room)
        if now:
            here.append(replace(want, bars=now))
        if not is_on_every_bar:
            taken[kind] = taken.get(kind, 0) + now
        if want.bars > now:
            rest.append(replace(want, bars=want.bars - now))
    return tuple(here), rest
