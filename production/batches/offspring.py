"""What came of a batch: the lots of own soap it gave, and every batch that took from them, to any depth."""

from dataclasses import dataclass

from production.batches.models import Batch, Weighing
from production.stock.models import Lot, Origin


@dataclass(frozen=True)
class Offspring:
    lots: tuple[Lot, ...]
    batches: tuple[Batch, ...]


def offspring(batch: Batch) -> Offspring:
    """Walk down from a batch, one step of descent at a time; each lot and batch once, in the order they came."""
    lots: dict[int, Lot] = {}
    batches: dict[int, Batch] = {}
    new_batches, new_lots = [batch.pk], [0]
    while new_batches or new_lots:
        rows = Origin.objects.filter(lot__isnull=False).select_related("lot__material").exclude(lot_id__in=lots)
        found = {
            row.lot.pk: row.lot
            for row in (
                *rows.filter(from_batch_id__in=new_batches),
                *rows.filter(from_lot_id__in=new_lots),
            )
            if row.lot is not None
        }
        lots |= found
        new_lots = list(found)
        drawn = Weighing.objects.filter(lot_id__in=new_lots).select_related("batch").exclude(batch_id__in=batches)
        took = {row.batch_id: row.batch for row in drawn if row.batch_id != batch.pk}
        batches |= took
        new_batches = list(took)
    return Offspring(tuple(lots.values()), tuple(batches.values()))
