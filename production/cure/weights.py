"""Weigh-ins of marked bars: which figures cannot be true, and how much a bar lost in its last week."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

# Two weighings closer than this say little about a week; seven days is the habit, one day late or early is life.
LEAST_DAYS_APART = 5
# A kitchen scale wanders by about one step; a bar may seem that much heavier than it was.
SCALE_STEP_GRAMS = Decimal(1)


@dataclass(frozen=True)
class BarWeighing:
    on: date
    grams: Decimal


@dataclass(frozen=True)
class MarkedBar:
    """One marked bar and its weighings. The first on or after the cut is its fresh weight, unless `cut_grams` is set.

    `batch` is the batch number on the bar when it was read; empty when nobody read it.
    """

    mark: str
    weighings: tuple[BarWeighing, ...]
    cut_grams: Decimal | None = None
    batch: str = ""


@dataclass(frozen=True)
class Doubt:
    """A weighing that cannot be true, or not of this bar."""

    code: str
    mark: str
    on: date
    text: str
    mend: str


def in_order(bar: MarkedBar) -> tuple[BarWeighing, ...]:
    return tuple(sorted(bar.weighings, key=lambda weighing: weighing.on))


def fresh_grams(bar: MarkedBar) -> Decimal | None:
    if bar.cut_grams is not None:
        return bar.cut_grams
    weighings = in_order(bar)
    return weighings[0].grams if weighings else None


def loss_percent(bar: MarkedBar, weighing: BarWeighing) -> Decimal | None:
    """Percent of the fresh weight lost by this weighing."""
    fresh = fresh_grams(bar)
    return None if not fresh else (fresh - weighing.grams) / fresh * 100


def doubts(
    bar: MarkedBar,
    *,
    cut_on: date,
    today: date,
    most_loss_percent: Decimal,
    batch: str = "",
    scale_step_grams: Decimal = SCALE_STEP_GRAMS,
) -> tuple[Doubt, ...]:
    """Question every weighing that cannot be: `most_loss_percent` is the water and scent of the fresh bar."""
    found: list[Doubt] = []
    if batch and bar.batch and bar.batch != batch:
        text = f"Bar {bar.mark} carries batch {bar.batch}, not {batch}."
        found += [Doubt("other_batch", bar.mark, each.on, text, "Weigh a bar of this batch.") for each in bar.weighings]
    for weighing in in_order(bar):
        doubt = _doubt(bar, weighing, cut_on, today, most_loss_percent, scale_step_grams)
        found += [doubt] if doubt else []
    return tuple(found)


def _doubt(
    bar: MarkedBar, weighing: BarWeighing, cut_on: date, today: date, most_loss_percent: Decimal, step: Decimal
) -> Doubt | None:
    def doubt(code: str, text: str, mend: str) -> Doubt:
        return Doubt(code, bar.mark, weighing.on, text, mend)

    fresh, loss = fresh_grams(bar), loss_percent(bar, weighing)
    if weighing.grams <= 0:
        return doubt("no_weight", f"Bar {bar.mark} has no weight.", "Weigh it again.")
    if weighing.on < cut_on:
        return doubt("before_cut", f"Bar {bar.mark} was weighed before the cut.", "Correct the day.")
    if weighing.on > today:
        return doubt("in_future", f"Bar {bar.mark} has a weighing on a day still to come.", "Correct the day.")
    if fresh is not None and weighing.grams > fresh + step:
        text = f"Bar {bar.mark} weighs {_g(weighing.grams)}, more than the {_g(fresh)} at the cut."
        return doubt("heavier", text, "Check the scale and the mark, then weigh again. Damp air can do it too.")
    slack = step / fresh * 100 if fresh else Decimal()
    if loss is not None and loss > most_loss_percent + slack:
        text = f"Bar {bar.mark} lost {loss:.1f} %, more than its water and scent ({most_loss_percent:.1f} %)."
        return doubt("too_light", text, "Check the scale and the mark, then weigh again.")
    return None


def last_week_loss_percent(bar: MarkedBar) -> Decimal | None:
    """Percent lost per 7 days between the last weighing and the one at least five days before it, or None."""
    weighings = in_order(bar)
    if not weighings:
        return None
    last = weighings[-1]
    before = [each for each in weighings if (last.on - each.on).days >= LEAST_DAYS_APART]
    if not before or before[-1].grams <= 0:
        return None
    days = (last.on - before[-1].on).days
    return (before[-1].grams - last.grams) / before[-1].grams * 100 * 7 / days


def without_doubt(bar: MarkedBar, questioned: tuple[Doubt, ...]) -> MarkedBar:
    """The bar with only the weighings nobody questions, so that a slip never feeds a judgment."""
    days = {doubt.on for doubt in questioned if doubt.mark == bar.mark}
    kept = tuple(each for each in in_order(bar) if each.on not in days)
    return MarkedBar(bar.mark, kept, bar.cut_grams if bar.cut_grams is not None else fresh_grams(bar), bar.batch)


def _g(grams: Decimal) -> str:
    return f"{grams.normalize():f} g"
