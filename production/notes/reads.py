"""Notes of one batch, and batches found by what was noted, what went in and how strong their lye was."""

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import Q, QuerySet
from django.db.models.functions import Coalesce

from formulas.models import Material
from production.batch_states import BatchState
from production.batches.models import Batch, Weighing
from production.batches.reads import SHAPES
from production.notes.lye_strength import lye_percents
from production.notes.models import Note

SCENTS = (Material.Kind.FRAGRANCE, Material.Kind.ESSENTIAL_OIL)
NOTES_SHOWN = 2
# Past this many a search is too wide to be of use; its strength is not worked out further.
MOST_FOUND = 400


@dataclass(frozen=True)
class Found:
    """One batch that fits, with its scents, its lye strength and the newest words about it."""

    batch: Batch
    shape: str
    scents: str
    lye_percent: Decimal | None
    notes: tuple[Note, ...]


def notes_of(batch: Batch) -> QuerySet[Note]:
    return batch.notes.select_related("by", "deviation")


def found_batches(
    *, words: str = "", holds: str = "", lye_above: Decimal | None = None, lye_below: Decimal | None = None
) -> list[Found]:
    """Return the batches that fit, newest first, in a fixed number of queries."""
    rows = Batch.objects.select_related("design").defer("frozen").order_by("-pour_on", "-pk")
    if words:
        about = Q(notes__text__icontains=words) | Q(deviations__what__icontains=words) | Q(note__icontains=words)
        rows = rows.filter(pk__in=Batch.objects.filter(about).values("pk"))
    if holds:
        went_in = Weighing.objects.filter(material__name__icontains=holds).exclude(actual_grams=0)
        rows = rows.filter(pk__in=went_in.values("batch_id"))
    batches = list(rows[:MOST_FOUND])
    strengths = _lye_percents(batches)
    fit = [batch for batch in batches if _is_between(strengths.get(batch.pk), lye_above, lye_below)]
    scents, notes = _scents(fit), _notes(fit)
    return [
        Found(
            batch=batch,
            shape=SHAPES[BatchState(batch.status)],
            scents=", ".join(scents[batch.pk]),
            lye_percent=strengths.get(batch.pk),
            notes=tuple(notes[batch.pk][:NOTES_SHOWN]),
        )
        for batch in fit
    ]


def _is_between(percent: Decimal | None, above: Decimal | None, below: Decimal | None) -> bool:
    if above is None and below is None:
        return True
    if percent is None:
        return False
    return (above is None or percent > above) and (below is None or percent < below)


def _lye_percents(batches: list[Batch]) -> dict[int, Decimal]:
    """From what was weighed, as planned where no scale has seen it yet; one query."""
    kinds = Weighing.ToleranceClass
    rows: Any = (
        Weighing.objects.filter(batch__in=batches, tolerance_class__in=(kinds.ALKALI, kinds.LIQUID))
        .annotate(grams=Coalesce("actual_grams", "planned_grams"))
        .values_list("batch_id", "tolerance_class", "grams")
    )
    return lye_percents(rows, alkali=kinds.ALKALI, liquid=kinds.LIQUID)


def _scents(batches: list[Batch]) -> dict[int, list[str]]:
    found: defaultdict[int, list[str]] = defaultdict(list)
    rows = Weighing.objects.filter(batch__in=batches, material__kind__in=SCENTS).exclude(actual_grams=0)
    for batch_id, name in rows.order_by("position").values_list("batch_id", "material__name"):
        if name not in found[batch_id]:
            found[batch_id].append(name)
    return found


def _notes(batches: list[Batch]) -> dict[int, list[Note]]:
    found: defaultdict[int, list[Note]] = defaultdict(list)
    for note in Note.objects.filter(batch__in=batches).order_by("-on", "-pk"):
        found[note.batch_id].append(note)
    return found
