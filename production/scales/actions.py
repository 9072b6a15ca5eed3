"""Keep the list of scales and check them with a known mass."""

from datetime import date
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from formulas.weighing import WeighingError, in_service_error_grams, is_scale_true
from production.batch_states import BatchState
from production.batches.actions.writing import note_deviation
from production.batches.models import Batch
from production.scales.choice import check_reading
from production.scales.models import Scale, ScaleCheck
from production.scales.reads import weighed_since_good
from production.scales.taking import ScaleRefusal
from soapshop.audit import changed_fields, note_event
from soapshop.models import User
from soapshop.units import format_grams, round_grams


@transaction.atomic
def save_scale(*, by: User, figures: dict[str, Any], scale_id: int | None = None) -> Scale:
    """Add a scale or change its figures."""
    scale = Scale() if scale_id is None else Scale.objects.select_for_update().get(pk=scale_id)
    before, after = changed_fields(scale, figures)
    for name, value in figures.items():
        setattr(scale, name, value)
    try:
        scale.full_clean()
        limit_of(scale)
    except ValidationError as refusal:
        raise ScaleRefusal(" ".join(refusal.messages)) from refusal
    scale.save()
    note_event(
        by=by, verb="save_scale", subject=scale, text=f"Saved the scale {scale.name}.", before=before, after=after
    )
    return scale


def limit_of(scale: Scale) -> Decimal:
    """Return how far off the test weight the scale may be: its own limit, else class III in service."""
    if scale.limit_grams is not None:
        return scale.limit_grams
    try:
        return in_service_error_grams(scale.step_grams, scale.test_grams)
    except WeighingError as refusal:
        raise ScaleRefusal(f"{refusal} Or type how far off it may be.") from refusal


@transaction.atomic
def retire_scale(*, scale_id: int, on: date, by: User) -> Scale:
    """Take a scale out of use; what was weighed on it stays."""
    scale = Scale.objects.select_for_update().get(pk=scale_id)
    if scale.retired_on is None:
        scale.retired_on = on
        scale.save(update_fields=["retired_on"])
        note_event(by=by, verb="retire_scale", subject=scale, text=f"{scale.name} is out of use.")
    return scale


@transaction.atomic
def check_scale(*, scale_id: int, shown_grams: Decimal, on: date, by: User, note: str = "") -> ScaleCheck:
    """Write down what the scale showed with its test weight.

    A failed check opens a deviation on every batch weighed on it since its last good one.
    """
    scale = _scale_in_use(scale_id)
    shown_grams, limit = round_grams(shown_grams), limit_of(scale)
    try:
        check_reading(shown_grams, scale.figures)
    except WeighingError as refusal:
        raise ScaleRefusal(str(refusal)) from refusal
    is_true = is_scale_true(mass_grams=scale.test_grams, shown_grams=shown_grams, limit_grams=limit)
    check = ScaleCheck.objects.create(
        scale=scale,
        on=on,
        mass_grams=scale.test_grams,
        shown_grams=shown_grams,
        limit_grams=limit,
        verdict=ScaleCheck.Verdict.PASSED if is_true else ScaleCheck.Verdict.FAILED,
        note=note.strip()[:300],
        by=by,
    )
    text = f"{scale.name} showed {format_grams(shown_grams)} for {format_grams(scale.test_grams)}."
    note_event(by=by, verb="check_scale", subject=scale, text=text, after={"verdict": check.verdict})
    if not is_true:
        _doubt_what_was_weighed(check, text, by=by)
    return check


def _doubt_what_was_weighed(check: ScaleCheck, text: str, *, by: User) -> None:
    lines_of: dict[int, list[str]] = {}
    for weighing in weighed_since_good(check):
        lines_of.setdefault(weighing.batch_id, []).append(weighing.material.name)
    closed = [BatchState.SCRAPPED.value, BatchState.REJECTED.value, BatchState.CANCELLED.value]
    for batch in Batch.objects.filter(pk__in=lines_of).exclude(status__in=closed).order_by("pk"):
        names = ", ".join(dict.fromkeys(lines_of[batch.pk]))
        note_deviation(batch=batch, by=by, what=f"{text} Weighed on it since its last good check: {names}."[:400])


@transaction.atomic
def waive_check(*, scale_id: int, reason: str, on: date, by: User) -> ScaleCheck:
    """Use a scale unchecked for one day, with the reason and the name of who says so."""
    scale = _scale_in_use(scale_id)
    last = ScaleCheck.objects.filter(scale=scale, on=on).first()
    if last is not None and last.verdict == ScaleCheck.Verdict.FAILED:
        raise ScaleRefusal(f"{scale.name} failed its check today. Words do not mend that: check it again.")
    if not reason.strip():
        raise ScaleRefusal("Say in a few words why it is used unchecked.")
    check = ScaleCheck.objects.create(
        scale=scale, on=on, verdict=ScaleCheck.Verdict.WAIVED, note=reason.strip()[:300], by=by
    )
    text = f"{scale.name} is used unchecked today: {check.note}"
    note_event(by=by, verb="waive_check", subject=scale, text=text)
    return check


def _scale_in_use(scale_id: int) -> Scale:
    scale = Scale.objects.select_for_update().get(pk=scale_id)
    if scale.retired_on is not None:
        raise ScaleRefusal(f"{scale.name} is out of use. Choose another scale.")
    return scale
