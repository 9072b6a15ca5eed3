"""How long the bars of a batch are expected to keep, from what was weighed into them."""

from production.batches.models import Batch
from production.cure.keeping import Keeping, KeepingFacts, best_before
from production.cure.rack_plans import rack_plan


def keeping_of(batch: Batch) -> Keeping:
    """Return the proposed best-before day and what set it, for a batch that was loaded for the rack."""
    return best_before(_facts(batch))


def _facts(batch: Batch) -> KeepingFacts:
    known = rack_plan(batch)
    weighed = [line for line in batch.weighings.all() if line.actual_grams]
    fats = [line.lot_expires_on for line in weighed if line.material_id in known.fat_ids]  # type: ignore[attr-defined]
    return KeepingFacts(
        poured_on=batch.poured_on or batch.pour_on,
        superfat_percent=batch.superfat_actual_percent,
        has_scent=any(line.material_id in known.scent_ids for line in weighed),
        first_fat_on=min((day for day in fats if day is not None), default=None),
    )
