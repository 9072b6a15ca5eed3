"""Note how high the batter stands in the molds, so that the formula's next batch is sized by it."""

from decimal import Decimal

from formulas.actions.revisions import note_seen_fill
from formulas.geometry import MoldError
from production.batches.asked import BatchRefusal
from production.batches.fills import factor_of, fill_of
from production.batches.models import Batch
from soapshop.models import User


def note_fill(batch: Batch, *, filled_to_mm: Decimal, by: User) -> None:
    """Keep the height on a batch that is locked and weighed, and tell its revision what its batches fill by now."""
    batch.filled_to_mm = filled_to_mm
    try:
        fill_of(batch)
    except MoldError as refusal:
        raise BatchRefusal(str(refusal)) from refusal
    batch.save(update_fields=["filled_to_mm"])
    if batch.revision is not None:
        oils_per_ml, batches = factor_of(batch.revision)
        note_seen_fill(revision_id=batch.revision.pk, oils_per_ml=oils_per_ml, batches=batches, by=by)
