"""What the print form of one batch chooses from and begins with, read in few queries."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import F, FilteredRelation, OuterRef, Q, QuerySet, Subquery

from production.batches.models import Batch
from production.documents.label_records import LabelStock
from production.labels.models import LabelCount, LabelPrint, Printer
from production.labels.printer_fit import Readings
from production.labels.stocks import READ, all_stocks, readings

NO_SHIFT = (Decimal(0), Decimal(0))


@dataclass(frozen=True)
class CountedLabels:
    """The newest count of one printing; `missing` is what nobody can account for."""

    used: int
    spoiled: int
    left_over: int
    missing: int


@dataclass(frozen=True)
class PrintRow:
    """One printing, and how far its labels cover the bars."""

    kept: LabelPrint
    finish_name: str
    wording: str
    net_weight: str
    count: CountedLabels | None


@dataclass(frozen=True)
class Desk:
    """What there is to choose from, the printings of this batch, and how the last labels looked.

    A design keeps its color, and a printer has not moved since the last print on the same stock.
    """

    stocks: Mapping[str, LabelStock]
    printers: tuple[tuple[int, str], ...]
    fits: Mapping[tuple[int, str], Readings]  # by printer and stock, of the stock that is offered first
    usual_printer: int | None
    prints: tuple[PrintRow, ...]
    accent: str
    offsets: tuple[Decimal, Decimal]

    @property
    def printed(self) -> Counter[str]:
        """Labels printed for each finish; stickers with the customer's words alone are no labels."""
        counts: Counter[str] = Counter()
        for row in self.prints:
            if not row.kept.is_second:
                counts[row.kept.finish] += row.kept.copies
        return counts

    def last_reason(self, finish: str) -> str:
        """The words of the last printing of this finish: they mostly hold for the next."""
        last = next((row.kept for row in self.prints if row.kept.finish == finish), None)
        return str(last.frozen.get("reason", "")) if last else ""


def desk_of(batch: Batch, stock: str) -> Desk:
    """Read the desk of one batch in three queries; ``stock`` is the label stock that is offered first."""
    found = list(_prints(batch, stock))
    of_design = next((kept for kept in found if kept.design_id == batch.design_id), None)
    on_stock = next((kept for kept in found if kept.stock_key == stock), None)
    printers = list(_printers(stock))
    measured = [printer for printer in printers if printer.measured_at is not None]
    return Desk(
        stocks=all_stocks(),
        printers=tuple((printer.pk, printer.name) for printer in printers),
        fits={(printer.pk, stock): readings(printer) for printer in measured},
        usual_printer=max(measured, key=lambda printer: printer.measured_at).pk if measured else None,
        prints=tuple(_print_row(kept) for kept in found if kept.batch_id == batch.pk),
        accent=str(of_design.frozen["paper"].get("accent_hex", "")) if of_design else "",
        offsets=_offsets(on_stock.frozen["paper"]) if on_stock else NO_SHIFT,
    )


def printed_counts(batches: Iterable[int]) -> Counter[tuple[int, str]]:
    """Labels printed for each batch and finish; stickers with the customer's words alone are no labels."""
    counts: Counter[tuple[int, str]] = Counter()
    found = LabelPrint.objects.filter(batch__in=list(batches), is_second=False)
    for batch_id, finish, copies in found.values_list("batch_id", "finish", "copies"):
        counts[batch_id, finish] += copies
    return counts


def _prints(batch: Batch, stock: str) -> Iterable[Any]:
    """The printings of this batch, the last one of its design and the last one on the stock; the newest first."""
    of_design = LabelPrint.objects.filter(batch__design_id=batch.design_id).values("pk")[:1]
    on_stock = LabelPrint.objects.filter(stock_key=stock).values("pk")[:1]
    wanted = Q(batch=batch) | Q(pk=Subquery(of_design)) | Q(pk=Subquery(on_stock))
    counts: QuerySet[LabelCount] = LabelCount.objects.filter(label_print=OuterRef("pk"))
    newest = {name: Subquery(counts.values(name)[:1]) for name in ("used", "spoiled", "left_over")}
    prints = LabelPrint.objects.filter(wanted).select_related("printed_by")
    return prints.annotate(design_id=F("batch__design_id"), **newest)


def _printers(stock: str) -> Iterable[Any]:
    """Every printer, with when it was measured for this stock and what was read then."""
    printers = Printer.objects.annotate(fit=FilteredRelation("fits", condition=Q(fits__stock_key=stock)))
    return printers.annotate(**{name: F(f"fit__{name}") for name in ("measured_at", *READ)})


def _print_row(kept: Any) -> PrintRow:
    face = kept.frozen["paper"]["runs"][0]["face"]
    count = None
    if kept.used is not None:
        missing = kept.copies - kept.used - kept.spoiled - kept.left_over
        count = CountedLabels(kept.used, kept.spoiled, kept.left_over, missing)
    return PrintRow(kept, kept.frozen["finish_name"], face["wording"], face["net_weight"], count)


def _offsets(paper: Mapping[str, Any]) -> tuple[Decimal, Decimal]:
    return Decimal(paper["offset_x_mm"]), Decimal(paper["offset_y_mm"])
