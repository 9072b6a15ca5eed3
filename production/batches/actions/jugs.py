"""Write down what each jug really held, so that the next drawing of the design is better."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from production.batch_states import BatchState
from production.batches.actions.writing import locked_batch
from production.batches.asked import BatchRefusal
from production.batches.models import Batch
from soapshop.audit import note_event
from soapshop.models import User
from soapshop.units import format_grams

NOT_POURED = (BatchState.PLANNED, BatchState.IN_PROCESS, BatchState.CANCELLED)


@dataclass(frozen=True)
class JugPoured:
    """Grams on the tared jug, None where nobody weighed it, and a word about its color or its trace."""

    grams: Decimal | None
    note: str = ""


@transaction.atomic
def note_jugs(*, batch_id: int, poured: Mapping[str, JugPoured], by: User) -> Batch:
    """Keep what was really poured, jug by jug; a jug that is not named stays as it was."""
    batch = locked_batch(batch_id)
    if batch.state in NOT_POURED or batch.poured_on is None:
        raise BatchRefusal(f"{batch} is not poured. Note its jugs once it is in the molds.")
    jugs = {jug.letter: jug for jug in batch.portions.all()}
    if set(poured) - set(jugs):
        raise BatchRefusal("A jug was named that this batch does not have. Look at its ticket.")
    _judge_weight(batch, poured)
    before, after = {}, {}
    for letter, what in poured.items():
        jug = jugs[letter]
        before[letter] = [jug.actual_grams, jug.note]
        jug.actual_grams, jug.note = what.grams, what.note.strip()[:200]
        after[letter] = [jug.actual_grams, jug.note]
        jug.save(update_fields=["actual_grams", "note"])
    text = f"Noted what was really poured of {batch}."
    note_event(by=by, verb="note_jugs", subject=batch, text=text, before=before, after=after)
    return batch


def _judge_weight(batch: Batch, poured: Mapping[str, JugPoured]) -> None:
    """Jugs cannot hold more than the pot, with a tenth for what single jugs get on top."""
    if any(what.grams is not None and what.grams < 0 for what in poured.values()):
        raise BatchRefusal("A jug weighs nothing or more. Type the grams on the tared jug.")
    whole = sum((what.grams or Decimal(0) for what in poured.values()), Decimal(0))
    if whole > batch.batter_grams * Decimal("1.1"):
        raise BatchRefusal(
            f"The jugs would hold {format_grams(whole, places=0)}, but the batch is "
            f"{format_grams(batch.batter_grams, places=0)}. Was a jug weighed with its own weight?"
        )
