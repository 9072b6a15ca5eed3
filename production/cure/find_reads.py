"""Batches found by their scent and by how strong their lye was: what behaved how, looked up later."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Count, Q, TextField
from django.db.models.functions import Cast

from production.batches.models import Batch
from production.cure.rack_plans import rack_plan

MOST_FOUND = 100


@dataclass(frozen=True)
class FoundBatch:
    """One batch with what a maker compares: lye, water, scents, and what went otherwise."""

    batch: Batch
    poured_on: date
    lye_concentration_percent: Decimal
    scents: tuple[str, ...]
    deviations: int


def find_batches(*, scent: str = "", least_lye_percent: Decimal | None = None) -> tuple[FoundBatch, ...]:
    """Return poured batches whose scents hold these words and whose lye was at least so strong, newest first."""
    wanted = scent.strip().casefold()
    batches = (
        Batch.objects.filter(poured_on__isnull=False)
        .defer("frozen")
        .annotate(frozen_text=Cast("frozen", TextField()), went_otherwise=Count("deviations"))
        .select_related("design", "revision__formula")
        .order_by("-poured_on", "-pk")
    )
    found = []
    for batch in batches.filter(Q(frozen_text__icontains=wanted) if wanted.isascii() else Q()).iterator(chunk_size=200):
        plan = rack_plan(batch)
        fits = any(wanted in name.casefold() for name in plan.scent_names) if wanted else True
        lye = plan.face.lye_concentration_percent
        if batch.poured_on and fits and (least_lye_percent is None or lye >= least_lye_percent):
            found.append(FoundBatch(batch, batch.poured_on, lye, plan.scent_names, batch.went_otherwise))
        if len(found) == MOST_FOUND:
            break
    return tuple(found)
