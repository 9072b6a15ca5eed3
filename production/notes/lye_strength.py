"""How strong the lye of a pot was: alkali by the mass of alkali and liquid together. Rules only."""

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal


def lye_percents(lines: Iterable[tuple[int, str, Decimal]], *, alkali: str, liquid: str) -> dict[int, Decimal]:
    """Return the strength in percent by batch, from (batch, kind of dose, grams); a pot without lye is left out."""
    grams: defaultdict[int, defaultdict[str, Decimal]] = defaultdict(lambda: defaultdict(Decimal))
    for batch, kind, each in lines:
        grams[batch][kind] += each
    return {
        batch: Decimal(100) * own[alkali] / (own[alkali] + own[liquid]) for batch, own in grams.items() if own[alkali]
    }
