"""What a batch gave of what went in, and what fillings of a mold really gave beside the bars its page promises."""

from dataclasses import dataclass
from decimal import Decimal

from formulas.design_records import mold_of
from formulas.geometry import YieldSeen, usable_bars
from formulas.models import Mold
from production.batches.models import Batch
from production.stock.models import Origin
from production.yield_points import YieldFacts, YieldLimits, YieldPoint, yield_points
from soapshop.models import Workshop
from soapshop.panels import Panel

SHOWN = 8
OWN_BATTER_KEY = "own-batter"


def limits_of(workshop: Workshop) -> YieldLimits:
    return YieldLimits(
        poured=(workshop.poured_low_percent, workshop.poured_high_percent),
        cut=(workshop.cut_low_percent, workshop.cut_high_percent),
        bars=(workshop.good_bars_low_percent, workshop.good_bars_high_percent),
    )


def batter_given_grams(batch: Batch) -> Decimal:
    """Return the batter of this pot that went on into the mold of another batch."""
    given = Origin.objects.filter(from_batch=batch, lot__material__key=OWN_BATTER_KEY).values_list("grams", flat=True)
    return sum((grams or Decimal(0) for grams in given), Decimal(0))


def yield_facts(batch: Batch) -> YieldFacts:
    """Return what is known of a batch so far; give it with its weighings fetched."""
    lines = batch.weighings.all()
    # Batter is only given on from a pot that is weighed out: before that nobody need be asked.
    is_weighed_out = all(line.is_weighed for line in lines)
    return YieldFacts(
        input_grams=sum((line.actual_grams or Decimal(0) for line in lines), Decimal(0)),
        planned_bars=batch.planned_bars,
        given_grams=batter_given_grams(batch) if is_weighed_out else Decimal(0),
        in_molds_grams=batch.in_molds_grams,
        left_in_pots_grams=batch.left_in_pots_grams,
        bars=batch.bars_cut,
        spoiled=batch.spoiled_at_cut or 0,
        mean_bar_grams=batch.mean_cut_bar_grams,
        ends_grams=batch.ends_grams,
    )


def judged_yield(facts: YieldFacts) -> tuple[YieldPoint, ...]:
    return yield_points(facts, limits_of(Workshop.current()))


@dataclass(frozen=True)
class MoldYield:
    """One batch cut from this mold; spoiled bars are not among the good ones."""

    batch: Batch
    good_bars: int
    spoiled: int


def mold_yield_panel(mold: Mold) -> Panel | None:
    """The last fillings of a mold and the good bars of one filling on average; nothing before the first cut."""
    cut = Batch.objects.filter(mold=mold, bars_cut__isnull=False, test_pour__isnull=True)
    batches = cut.order_by("-poured_on", "-pk")[:SHOWN]
    rows = [MoldYield(batch, batch.bars_cut or 0, batch.spoiled_at_cut or 0) for batch in batches]
    if not rows:
        return None
    seen = tuple(YieldSeen(row.good_bars + row.spoiled, row.good_bars) for row in rows if row.good_bars + row.spoiled)
    fillings = sum(row.batch.mold_count for row in rows)
    mean = Decimal(sum(row.good_bars for row in rows)) / fillings
    context = {"mold": mold, "yields": rows, "fillings": fillings, "mean_bars": mean.quantize(Decimal("0.1"))}
    context["counted_on"] = usable_bars(mold_of(mold), own_yields=seen) if seen else None
    return Panel("production/panels/mold_yields.html", context)
