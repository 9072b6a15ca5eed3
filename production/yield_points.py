"""What went in against what came out, at the pour, at the cut and in bars. Too much is as wrong as too little.

poured = in the molds of what was in the pot; cut = bars, ends and trims of what was in the molds; bars = good bars of
those planned. The limits are the workshop's own; it starts with common practice (no published source).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

HUNDRED = Decimal(100)
TENTH = Decimal("0.1")
POURED, CUT, BARS = "poured", "cut", "bars"
LABELS = {POURED: "In the molds", CUT: "Cut, of what was in the molds", BARS: "Good bars, of those planned"}
ASKS = {
    (POURED, False): "Is batter left in the pot, or was an ingredient left out?",
    (POURED, True): "Was something weighed twice, or the mold weighed along?",
    (CUT, False): "Are ends or trims missing on the scale?",
    (CUT, True): "Were the bars weighed wet, or counted twice?",
    (BARS, False): "Were the bars cut thicker, or is a mold not counted yet?",
    (BARS, True): "Were the bars cut thinner, or counted twice?",
}


@dataclass(frozen=True)
class YieldLimits:
    """Percent, each from low to high."""

    poured: tuple[Decimal, Decimal] = (Decimal(97), Decimal("100.5"))
    cut: tuple[Decimal, Decimal] = (Decimal(98), Decimal("100.5"))
    bars: tuple[Decimal, Decimal] = (Decimal(90), Decimal(105))


@dataclass(frozen=True)
class YieldFacts:
    """Grams of one pot and its bars. None is not known; ``given_grams`` went on into molds of other batches."""

    input_grams: Decimal
    planned_bars: int
    given_grams: Decimal = Decimal(0)
    in_molds_grams: Decimal | None = None
    left_in_pots_grams: Decimal | None = None
    bars: int | None = None
    spoiled: int = 0
    mean_bar_grams: Decimal | None = None
    ends_grams: Decimal | None = None

    @property
    def cut_grams(self) -> Decimal | None:
        """Return what was on the board: bars, spoiled ones and ends; None while one of them is not weighed."""
        if self.bars is None or self.mean_bar_grams is None or self.ends_grams is None:
            return None
        return (self.bars + self.spoiled) * self.mean_bar_grams + self.ends_grams

    @property
    def unexplained_grams(self) -> Decimal | None:
        """Return what is neither in the molds nor left in the pots; below nothing when more came out than went in."""
        if self.in_molds_grams is None or self.left_in_pots_grams is None:
            return None
        return self.input_grams - self.given_grams - self.in_molds_grams - self.left_in_pots_grams


@dataclass(frozen=True)
class YieldPoint:
    """One share in percent; ``percent`` is None while a weight is missing."""

    key: str
    percent: Decimal | None
    low: Decimal
    high: Decimal

    @property
    def label(self) -> str:
        return LABELS[self.key]

    @property
    def is_outside(self) -> bool:
        return self.percent is not None and not self.low <= self.percent <= self.high

    @property
    def sentence(self) -> str:
        """Say what lies outside and ask for the likeliest slip; nothing for a point inside."""
        if self.percent is None or not self.is_outside:
            return ""
        is_high = self.percent > self.high
        limit = f"more than {_text(self.high)}" if is_high else f"less than {_text(self.low)}"
        return f"{self.label}: {_text(self.percent)} %, {limit} %. {ASKS[self.key, is_high]}"


def yield_points(facts: YieldFacts, limits: YieldLimits) -> tuple[YieldPoint, ...]:
    """Return the three points, each judged against its limits."""
    in_pot = facts.input_grams - facts.given_grams
    bars = None if facts.bars is None else Decimal(facts.bars)
    return (
        YieldPoint(POURED, _percent(facts.in_molds_grams, in_pot), *limits.poured),
        YieldPoint(CUT, _percent(facts.cut_grams, facts.in_molds_grams), *limits.cut),
        YieldPoint(BARS, _percent(bars, Decimal(facts.planned_bars)), *limits.bars),
    )


def outside(points: Iterable[YieldPoint], *keys: str) -> tuple[YieldPoint, ...]:
    """Return the points of these keys that need a reason."""
    return tuple(point for point in points if point.key in keys and point.is_outside)


def _percent(part: Decimal | None, whole: Decimal | None) -> Decimal | None:
    if part is None or not whole or whole <= 0:
        return None
    return (HUNDRED * part / whole).quantize(TENTH)


def _text(percent: Decimal) -> str:
    return f"{percent.normalize():f}"
