"""What the label pages show, read in a fixed number of queries."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Case, F, IntegerField, Prefetch, Q, Sum, Value, When
from django.db.models.functions import Coalesce

from formulas.label_rules.problems import Problem
from production.bar_ledger import OUT_OF_SALE, BarState
from production.batch_states import BatchState
from production.batches.models import Batch, BatchFor, BatchQuerySet, Weighing
from production.labels.choices import LabelAsk
from production.labels.decided import answers_of
from production.labels.declared import batch_labels, present_day
from production.labels.models import LabelCount, LabelPrint
from production.labels.sheets import PreparedLabel, prepared_from
from soapshop.models import Workshop

# Every 20th label spoils in the printer or on the bar: at least one (common practice, no source).
LABELS_FOR_EACH_SPARE = 20
WITH_BARS = (
    BatchState.POURED,
    BatchState.CUT,
    BatchState.CURING,
    BatchState.READY_FOR_REVIEW,
    BatchState.RELEASED,
    BatchState.HELD,
)
NO_LONGER_HERE = tuple(state.value for state in (BarState.SHIPPED, *OUT_OF_SALE))
FILTERS = {
    "": WITH_BARS,
    "released": (BatchState.RELEASED,),
    "waiting": (BatchState.POURED, BatchState.CUT, BatchState.CURING, BatchState.READY_FOR_REVIEW),
    "held": (BatchState.HELD,),
}


@dataclass(frozen=True)
class FinishRow:
    """One finish of a batch in the list: how many labels it needs, has, and what stops it."""

    key: str
    name: str
    bars: int
    printed: int
    net_weight: str
    stop: Problem | None
    more_stops: int
    asks: int

    @property
    def is_ready(self) -> bool:
        return self.stop is None

    @property
    def is_printed(self) -> bool:
        return self.printed >= self.bars


@dataclass(frozen=True)
class BatchRow:
    batch: Batch
    product: str
    for_whom: str
    finishes: tuple[FinishRow, ...]


@dataclass(frozen=True)
class PrintRow:
    """One printing, and how far its labels cover the bars."""

    kept: LabelPrint
    finish_name: str
    wording: str
    net_weight: str
    count: LabelCount | None


def batch_for_labels() -> BatchQuerySet:
    """Batches with everything their labels are worked out from."""
    return Batch.objects.select_related("mold", "design").prefetch_related(
        Prefetch("weighings", Weighing.objects.select_related("lot", "material")),
        Prefetch("serves", BatchFor.objects.select_related("line__order__customer")),
        "bar_moves",
        "cure_weighings",
        "releases",
    )


def batches_with_bars(shown: str) -> BatchQuerySet:
    """Batches that may need labels: poured and not all gone; released ones first, the newest pour first."""
    outside = (*NO_LONGER_HERE, BarState.MADE.value)
    moved_out = Q(bar_moves__to_state__in=NO_LONGER_HERE) & ~Q(bar_moves__from_state__in=outside)
    moved_back = Q(bar_moves__from_state__in=NO_LONGER_HERE) & ~Q(bar_moves__to_state__in=outside)
    gone = Coalesce(Sum("bar_moves__bars", filter=moved_out), 0) - Coalesce(
        Sum("bar_moves__bars", filter=moved_back), 0
    )
    states = [state.value for state in FILTERS.get(shown, WITH_BARS)]
    return (
        batch_for_labels()
        .filter(status__in=states)
        .annotate(gone=gone)
        .exclude(status=BatchState.RELEASED.value, gone__gte=F("bars_cut"))
        .annotate(
            rank=Case(
                When(status=BatchState.RELEASED.value, then=Value(0)), default=Value(1), output_field=IntegerField()
            )
        )
        .order_by("rank", "-poured_on", "number")
    )


def label_rows(batches: Iterable[Batch], *, workshop: Workshop, on: date) -> list[BatchRow]:
    """Judge every finish of these batches for the workshop's own market and style."""
    listed = list(batches)
    present = present_day(listed)
    printed, answers = printed_counts(listed), answers_of(listed)
    rows = []
    for batch in listed:
        labels = batch_labels(batch, present, market=workshop.market, style=workshop.declaration_style, on=on)  # type: ignore[arg-type]
        customers = dict.fromkeys(served.line.order.customer.name for served in batch.serves.all())
        finishes = []
        for finish in labels.finishes:
            ask = plain_ask(finish.key, workshop=workshop, copies=finish.bars)
            prepared = prepared_from(batch, labels, ask, workshop=workshop, on=on, answers=answers)
            finishes.append(_finish_row(prepared, printed[batch.pk, finish.key]))
        rows.append(BatchRow(batch, labels.plan.product, ", ".join(customers), tuple(finishes)))
    return rows


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


def printed_counts(batches: Iterable[Batch]) -> Counter[tuple[int, str]]:
    counts: Counter[tuple[int, str]] = Counter()
    found = LabelPrint.objects.filter(batch__in=list(batches)).values_list("batch_id", "finish", "copies")
    for batch_id, finish, copies in found:
        counts[batch_id, finish] += copies
    return counts


def prints_of(batch: Batch) -> list[PrintRow]:
    """Every printing of a batch, the newest first."""
    rows = []
    for kept in batch.label_prints.select_related("printed_by").prefetch_related("counts"):
        run = kept.frozen["paper"]["runs"][0]["face"]
        rows.append(PrintRow(kept, kept.frozen["finish_name"], run["wording"], run["net_weight"], _last_count(kept)))
    return rows


def _last_count(kept: LabelPrint) -> LabelCount | None:
    return next(iter(kept.counts.all()), None)


def wordings_of(batch: Batch) -> list[str]:
    """The personal wordings that the orders of this batch asked for, each once."""
    return list(dict.fromkeys(served.line.wording for served in batch.serves.all() if served.line.wording))


def printer_offsets(stock: str) -> tuple[Decimal, Decimal]:
    """The offsets of the last print on this stock: the printer has not moved since."""
    last = LabelPrint.objects.filter(stock_key=stock).only("frozen").first()
    if last is None:
        return Decimal(0), Decimal(0)
    paper = last.frozen["paper"]
    return Decimal(paper["offset_x_mm"]), Decimal(paper["offset_y_mm"])


def last_accent(batch: Batch) -> str:
    """The color of the last labels of this design: a design keeps its look."""
    last = LabelPrint.objects.filter(batch__design_id=batch.design_id).only("frozen").first()
    return str(last.frozen["paper"].get("accent_hex", "")) if last else ""


def _finish_row(prepared: PreparedLabel, printed: int) -> FinishRow:
    stops = prepared.stops
    return FinishRow(
        key=prepared.finish.key,
        name=prepared.finish.name,
        bars=prepared.finish.bars,
        printed=printed,
        net_weight=prepared.net.text,
        stop=stops[0] if stops else None,
        more_stops=max(len(stops) - 1, 0),
        asks=len(prepared.asks),
    )
