"""Write a note about a batch, with or without a photo."""

from datetime import date
from uuid import UUID

from django.db import transaction

from production.batches.asked import BatchRefusal
from production.batches.models import Batch
from production.notes.models import Note
from soapshop.audit import note_event
from soapshop.models import User
from soapshop.photos import Photo, store_photo

SHELF = "batch"
MOST_NOTES = 500


@transaction.atomic
def write_note(
    *,
    batch_id: int,
    on: date,
    by: User,
    text: str = "",
    photo: Photo | None = None,
    portion_letter: str = "",
    deviation_id: int | None = None,
    week: int | None = None,
    typed_once: UUID | None = None,
) -> Note:
    """Keep what was seen. The same form sent twice keeps one note."""
    batch = Batch.objects.select_for_update().get(pk=batch_id)
    taken = Note.objects.filter(typed_once=typed_once).first() if typed_once else None
    if taken is not None:
        return taken
    if not text.strip() and photo is None:
        raise BatchRefusal("Write a few words, or choose a photo.")
    if deviation_id is not None and not batch.deviations.filter(pk=deviation_id).exists():
        raise BatchRefusal(f"That was not noted of {batch}. Choose one from the list.")
    if portion_letter and not batch.portions.filter(letter=portion_letter).exists():
        raise BatchRefusal(f"{batch} has no jug {portion_letter}. Choose one from the list.")
    if batch.notes.count() >= MOST_NOTES:
        raise BatchRefusal(f"{batch} has {MOST_NOTES} notes. Write on the paper ticket from here on.")
    note = Note.objects.create(
        batch=batch,
        on=on,
        by=by,
        text=text.strip()[:1000],
        portion_letter=portion_letter,
        deviation_id=deviation_id,
        week=week,
        typed_once=typed_once,
        photo="" if photo is None else store_photo(photo, shelf=SHELF),
    )
    said = note.text or "a photo"
    note_event(by=by, verb="write_note", subject=batch, text=f"Noted of {batch}: {said}"[:400])
    return note
