"""What fillings of a mold really gave, beside the good bars its page promises."""

from dataclasses import dataclass
from decimal import Decimal

from formulas.models import Mold
from production.batches.models import Batch
from soapshop.panels import Panel

SHOWN = 8


@dataclass(frozen=True)
class MoldYield:
    """One batch cut from this mold; spoiled bars are not among the good ones."""

    batch: Batch
    good_bars: int
    spoiled: int


def mold_yield_panel(mold: Mold) -> Panel | None:
    """The last fillings of a mold and the good bars of one filling on average; nothing before the first cut."""
    batches = Batch.objects.filter(mold=mold, bars_cut__isnull=False).order_by("-poured_on", "-pk")[:SHOWN]
    rows = [MoldYield(batch, batch.bars_cut or 0, batch.spoiled_at_cut or 0) for batch in batches]
    if not rows:
        return None
    fillings = sum(row.batch.mold_count for row in rows)
    mean = Decimal(sum(row.good_bars for row in rows)) / fillings
    context = {"mold": mold, "yields": rows, "fillings": fillings, "mean_bars": mean.quantize(Decimal("0.1"))}
    return Panel("production/panels/mold_yields.html", context)
