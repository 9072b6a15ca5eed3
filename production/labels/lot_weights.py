"""Finished bars of one lot, weighed one by one: what they will still hold at the hand-over, and which label that bears.

No Django. Every bar is carried forward to the day it is handed over, because soap goes on drying: that is stricter than
the law of Europe and Great Britain, which counts the content on the day of packing.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from formulas.label_rules.problems import Problem
from production.labels.lot_test import (
    Check,
    LotResult,
    LotTestError,
    eu_lot_test,
    eu_sample_size,
    mean,
    us_lot_test,
    us_sampling,
)
from production.labels.net_weight import US_MARKETS, NetStatement, NetWeightError, net_statement, plain, short_bars
from production.labels.tolerances import mav_for_label, tolerable_error

CENTIGRAM = Decimal("0.01")
ONE = Decimal(1)
# WELMEC 6.9 (page read): the checking error is at most one fifth of the tolerable error; we ask the same of the MAV.
STEP_PARTS = 5
# A bar this far from the middle one is a slip of the pen or the scale, not a bar (own reckoning).
FAR_BELOW, FAR_ABOVE = Decimal("0.5"), Decimal("1.5")
EU_MARKETS = ("eu", "uk")


@dataclass(frozen=True)
class WeighedLot:
    """Net weights by number. `kept_fraction` of each is expected to be left on the day `until`."""

    on: date
    until: date
    bars_grams: tuple[tuple[int, Decimal], ...]
    lot_size: int
    kept_fraction: Decimal = ONE
    set_aside: int = 0
    step_grams: Decimal | None = None

    @property
    def weights_grams(self) -> tuple[Decimal, ...]:
        return tuple(grams for _, grams in self.bars_grams)

    @property
    def mean_grams(self) -> Decimal:
        return mean(self.weights_grams)

    @property
    def lightest_grams(self) -> Decimal:
        return min(self.weights_grams)

    @property
    def loss_percent(self) -> Decimal:
        """What the bars are still expected to lose."""
        return 100 * (1 - self.kept_fraction)

    @property
    def is_whole(self) -> bool:
        return len(self.bars_grams) == self.lot_size

    def at_hand_over(self) -> "WeighedLot":
        carried = tuple((number, grams * self.kept_fraction) for number, grams in self.bars_grams)
        return replace(self, bars_grams=carried, kept_fraction=ONE, on=self.until)

    def short_of(self, must_hold_grams: Decimal) -> tuple[int, ...]:
        """Return the numbers of the bars that will not hold this weight at the hand-over."""
        marked = ((str(number), grams) for number, grams in self.at_hand_over().bars_grams)
        return tuple(int(mark) for mark in short_bars(marked, must_hold_grams))


def lot_statement(lot: WeighedLot, *, market: str) -> NetStatement:
    """The figure that every weighed bar still holds on the day it is handed over."""
    return net_statement(lot.at_hand_over().lightest_grams, market=market)


def lot_result(lot: WeighedLot, label: NetStatement, *, market: str, rules_on: date) -> LotResult:
    """Test the lot as it will be at the hand-over, by the plan of the market; refuses too small a sample."""
    carried = lot.at_hand_over()
    if market in US_MARKETS:
        return us_lot_test(label=label, weights_grams=carried.weights_grams, lot_size=lot.lot_size, on_date=rules_on)
    if market in EU_MARKETS:
        return eu_lot_test(
            nominal_grams=label.grams, weights_grams=carried.weights_grams, batch_size=lot.lot_size, on_date=rules_on
        )
    return _every_bar(carried, label)


def _every_bar(lot: WeighedLot, label: NetStatement) -> LotResult:
    """Where no sampling plan is known, every bar holds what the label says."""
    under = sum(grams < label.must_hold_grams for grams in lot.weights_grams)
    working = f"{under} of {len(lot.bars_grams)} bars under {plain(label.must_hold_grams)} g; 0 allowed"
    check = Check("every bar", "fail" if under else "pass", working)
    return LotResult(check.outcome, (check,), lot.mean_grams, None)


def bars_to_weigh(lot_size: int, *, market: str, rules_on: date) -> int:
    """Return how many bars of a lot its market asks to be weighed."""
    if market in US_MARKETS:
        return us_sampling(lot_size, rules_on).sample_size
    return eu_sample_size(lot_size, rules_on) if market in EU_MARKETS else lot_size


def lot_problem(lot: WeighedLot, label: NetStatement, *, market: str, rules_on: date) -> Problem | None:
    """Stop a label whose figure the weighed lot cannot hold until it is handed over."""
    try:
        result = lot_result(lot, label, market=market, rules_on=rules_on)
    except (LotTestError, NetWeightError) as refusal:
        return Problem("stop", "lot_not_tested", str(refusal), "Weigh them on the net weight page.")
    failed = next((check for check in result.checks if check.outcome != "pass"), None)
    if failed is None:
        return None
    day = f"{lot.until:%b} {lot.until.day}"
    better = lot_statement(lot, market=market).text
    return Problem(
        "stop",
        "lot_does_not_hold",
        f"“{label.text}” does not hold until {day}. By the weighed bars, {failed.name}: {failed.working}.",
        f"Print “{better}”, or set the short bars aside on the net weight page.",
    )


def step_problem(lot: WeighedLot, label: NetStatement, *, market: str, rules_on: date) -> Problem | None:
    """Say when the scale is too coarse for this label."""
    if lot.step_grams is None or market not in (*US_MARKETS, *EU_MARKETS):
        return None
    if market in EU_MARKETS:
        allowed = tolerable_error(label.grams, rules_on).grams
    else:
        allowed = mav_for_label(ounces=label.ounces, grams=label.grams, on_date=rules_on).grams
    finest = (allowed / STEP_PARTS).quantize(CENTIGRAM)
    if lot.step_grams <= finest:
        return None
    text = (
        f"The scale shows steps of {plain(lot.step_grams)} g; for this label a fifth of {plain(allowed)} g is the most."
    )
    return Problem("ask", "scale_too_coarse", text, f"Weigh on a scale with steps of {plain(finest)} g or finer.")


def far_out(weights_grams: Sequence[Decimal]) -> tuple[int, ...]:
    """Return the numbers of weights that cannot be bars of this lot."""
    if not weights_grams:
        return ()
    middle = sorted(weights_grams)[len(weights_grams) // 2]
    return tuple(
        number
        for number, grams in enumerate(weights_grams, start=1)
        if not FAR_BELOW * middle <= grams <= FAR_ABOVE * middle
    )
