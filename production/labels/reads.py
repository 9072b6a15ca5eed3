"""What the label pages show, read in a fixed number of queries."""

from django.db.models import F, OuterRef, Prefetch, QuerySet, Subquery
from django.db.models.functions import Coalesce, TruncDate

from production.batches.models import Batch, BatchFor, BatchQuerySet, Weighing
from production.cure.models import Release
from production.labels.choices import LabelAsk
from production.labels.models import LotWeighing
from soapshop.models import Workshop

# Every 20th label spoils in the printer or on the bar: at least one (common practice, no source).
LABELS_FOR_EACH_SPARE = 20


def served_lines() -> QuerySet[BatchFor]:
    """For whom batches are made: each line once, and once for every material that its customer wants left out."""
    lines = BatchFor.objects.select_related("line__order__customer").order_by("pk")
    return lines.annotate(avoided_id=F("line__order__customer__avoid_materials"))


def batch_for_labels(*, with_orders: bool = True) -> BatchQuerySet:
    """Batches with everything their labels are worked out from; the days are those of the newest decision."""
    orders = (Prefetch("serves", served_lines()),) if with_orders else ()
    decisions = Release.objects.filter(batch=OuterRef("pk"))
    released = decisions.filter(decision=Release.Decision.RELEASED)
    days = released.annotate(day_decided=Coalesce("on", TruncDate("at"))).order_by("day_decided")
    decided = Batch.objects.annotate(
        label_best_from=Subquery(decisions.values("best_from")[:1]),
        label_best_before=Subquery(decisions.values("best_before")[:1]),
        first_released_on=Subquery(days.values("day_decided")[:1]),
    )
    return decided.select_related("mold", "design").prefetch_related(
        Prefetch("weighings", Weighing.objects.select_related("lot", "material")),
        *orders,
        "bar_moves",
        "cure_weighings",
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
