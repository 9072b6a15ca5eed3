"""What the label pages show, read in a fixed number of queries."""

from django.db.models import Prefetch

from production.batches.models import Batch, BatchFor, BatchQuerySet, Weighing
from production.labels.choices import LabelAsk
from production.labels.models import LotWeighing
from soapshop.models import Workshop

# Every 20th label spoils in the printer or on the bar: at least one (common practice, no source).
LABELS_FOR_EACH_SPARE = 20


def batch_for_labels() -> BatchQuerySet:
    """Batches with everything their labels are worked out from."""
    return Batch.objects.select_related("mold", "design").prefetch_related(
        Prefetch("weighings", Weighing.objects.select_related("lot", "material")),
        Prefetch("serves", BatchFor.objects.select_related("line__order__customer")),
        "bar_moves",
        "cure_weighings",
        "releases",
        Prefetch("lot_weighings", LotWeighing.objects.select_related("scale")),
    )


def plain_ask(finish: str, *, workshop: Workshop, copies: int = 1) -> LabelAsk:
    """The printing that is offered before anything is chosen."""
    return LabelAsk(
        finish=finish,
        market=workshop.market,  # type: ignore[arg-type]
        style=workshop.declaration_style,  # type: ignore[arg-type]
        stock=usual_stock(workshop),
        copies=max(copies, 1),
    )


def usual_stock(workshop: Workshop) -> str:
    return "a4-21" if workshop.paper_size == Workshop.PaperSize.A4 else "letter-10"


def spare_labels(bars: int) -> int:
    return max(1, -(-bars // LABELS_FOR_EACH_SPARE))


def wordings_of(batch: Batch) -> list[str]:
    """The personal wordings that the orders of this batch asked for, each once."""
    return list(dict.fromkeys(served.line.wording for served in batch.serves.all() if served.line.wording))
