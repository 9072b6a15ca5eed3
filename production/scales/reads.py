"""What the pages of the scales show, and what a scale has weighed since it was last known to be true."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch, QuerySet

from production.batches.models import Weighing
from production.scales.models import Scale, ScaleCheck

NEWEST = 30


@dataclass(frozen=True)
class Standing:
    """How a scale stands today: on its page, as a shape, and on the ticket."""

    word: str
    shape: str
    on_ticket: str = ""


OUT_OF_USE = Standing("Out of use", "struck")
UNCHECKED = Standing("Not checked today", "ask", "not checked")
CHECKED = {
    ScaleCheck.Verdict.PASSED: Standing("True today", "ready", "true"),
    ScaleCheck.Verdict.FAILED: Standing("Failed today", "hold", "failed"),
    ScaleCheck.Verdict.WAIVED: Standing("Used unchecked today", "risk", "unchecked"),
}


@dataclass(frozen=True)
class ScaleRow:
    """A scale with its last check of today."""

    scale: Scale
    last: ScaleCheck | None
    standing: Standing


def scale_rows(*, today: date) -> list[ScaleRow]:
    """Return the scales, in use first, with the last check of today; two queries."""
    newest = ScaleCheck.objects.filter(on=today)
    scales = Scale.objects.prefetch_related(Prefetch("checks", newest, to_attr="checks_today"))
    rows = [_row(scale) for scale in scales]
    return sorted(rows, key=lambda row: row.scale.retired_on is not None)


def _row(scale: Scale) -> ScaleRow:
    today: list[ScaleCheck] = getattr(scale, "checks_today", [])
    last = today[0] if today else None
    if scale.retired_on is not None:
        return ScaleRow(scale, last, OUT_OF_USE)
    return ScaleRow(scale, last, CHECKED[ScaleCheck.Verdict(last.verdict)] if last else UNCHECKED)


def checks_in_words(*, today: date) -> str:
    """Say for the ticket how the scales stand: Bench scale true, Pocket scale not checked."""
    rows = (row for row in scale_rows(today=today) if row.standing is not OUT_OF_USE)
    return ", ".join(f"{row.scale.name} {row.standing.on_ticket}" for row in rows)


def weighed_since_good(check: ScaleCheck) -> QuerySet[Weighing]:
    """Return what was weighed on the scale after its last good check before this one, and before this one."""
    good = ScaleCheck.objects.filter(scale=check.scale_id, verdict=ScaleCheck.Verdict.PASSED, at__lt=check.at).first()
    weighed = Weighing.objects.filter(on_scale=check.scale_id, weighed_at__lte=check.at)
    if good is not None:
        weighed = weighed.filter(weighed_at__gt=good.at)
    return weighed.select_related("batch", "material", "weighed_by").order_by("weighed_at", "pk")
