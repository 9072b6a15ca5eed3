"""What the pages of the scales show, and what a scale has weighed since it was last known to be true."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch, QuerySet

from production.batches.models import Weighing
from production.scales.models import Scale, ScaleCheck

NEWEST = 30


@dataclass(frozen=True)
class ScaleRow:
    """A scale with its last check; ``word`` and ``shape`` say how it stands today."""

    scale: Scale
    last: ScaleCheck | None
    word: str
    shape: str


def scale_rows(*, today: date) -> list[ScaleRow]:
    """Return the scales, in use first, with the last check of each; two queries."""
    newest = ScaleCheck.objects.filter(on=today)
    scales = Scale.objects.prefetch_related(Prefetch("checks", newest, to_attr="checks_today"))
    rows = [_row(scale) for scale in scales]
    return sorted(rows, key=lambda row: row.scale.retired_on is not None)


def _row(scale: Scale) -> ScaleRow:
    today: list[ScaleCheck] = getattr(scale, "checks_today", [])
    last = today[0] if today else None
    if scale.retired_on is not None:
        return ScaleRow(scale, last, "Out of use", "struck")
    if last is None:
        return ScaleRow(scale, last, "Not checked today", "ask")
    if last.verdict == ScaleCheck.Verdict.FAILED:
        return ScaleRow(scale, last, "Failed today", "hold")
    if last.verdict == ScaleCheck.Verdict.WAIVED:
        return ScaleRow(scale, last, "Used unchecked today", "risk")
    return ScaleRow(scale, last, "True today", "ready")


def checks_in_words(*, today: date) -> str:
    """Say for the ticket how the scales stand: Bench scale true, Pocket scale not checked."""
    words = {"True today": "true", "Failed today": "failed", "Used unchecked today": "unchecked"}
    rows = (row for row in scale_rows(today=today) if row.scale.retired_on is None)
    return ", ".join(f"{row.scale.name} {words.get(row.word, 'not checked')}" for row in rows)


def weighed_since_good(check: ScaleCheck) -> QuerySet[Weighing]:
    """Return what was weighed on the scale after its last good check before this one, and before this one."""
    good = ScaleCheck.objects.filter(scale=check.scale_id, verdict=ScaleCheck.Verdict.PASSED, at__lt=check.at).first()
    weighed = Weighing.objects.filter(on_scale=check.scale_id, weighed_at__lte=check.at)
    if good is not None:
        weighed = weighed.filter(weighed_at__gt=good.at)
    return weighed.select_related("batch", "material", "weighed_by").order_by("weighed_at", "pk")
