"""What became of printed labels: on bars, spoiled, left over. They have to add up, or somebody says why not."""

from django.db import transaction

from production.labels.models import LabelCount, LabelPrint
from production.labels.sheets import LabelRefusal
from soapshop.audit import note_event
from soapshop.models import User

SHORTEST_WORDS = 3


@transaction.atomic
def count_labels(*, print_id: int, used: int, spoiled: int, left_over: int, words: str, by: User | None) -> LabelCount:
    """Keep a count of one printing; an earlier count stays on file, the newest one holds."""
    kept = LabelPrint.objects.select_for_update(of=("self",)).select_related("batch").get(pk=print_id)
    words = " ".join(words.split())
    missing = kept.copies - used - spoiled - left_over
    if missing and len(words) < SHORTEST_WORDS:
        label = "label" if abs(missing) == 1 else "labels"
        found = f"{missing} {label} not accounted for" if missing > 0 else f"{-missing} {label} more than printed"
        raise LabelRefusal(f"{kept.copies} were printed: {found}. Count again, or say why.")
    count = LabelCount.objects.create(
        label_print=kept, used=used, spoiled=spoiled, left_over=left_over, words=words, counted_by=by
    )
    text = f"Counted {kept.copies} labels: {used} on bars, {spoiled} spoiled, {left_over} left over and destroyed."
    note_event(by=by, verb="count_labels", subject=kept.batch, text=text, after={"print": kept.pk, "words": words})
    return count
