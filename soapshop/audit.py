"""The audit trail: who did what, when, in a sentence, with what it was before and after. Rows are only ever added."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import models

from soapshop.models import AuditEvent, User


def note_event(
    *,
    by: User | None,
    verb: str,
    subject: models.Model,
    text: str,
    before: dict[str, Any] | None = None,
    after: dict[str, Any] | None = None,
) -> AuditEvent:
    """Add one event. Call it inside the transaction of the act, so that neither stands without the other.

    `before` and `after` may hold Decimals, days, moments and rows; they are written as text that a person can read.
    `by` is None where the program acts by itself, such as on loading reference figures.
    """
    return AuditEvent.objects.create(
        by=by,
        verb=verb,
        subject_type=subject._meta.label_lower,
        subject_id="" if subject.pk is None else str(subject.pk),
        text=text,
        before=None if before is None else written(before),
        after=None if after is None else written(after),
    )


def changed_fields(row: models.Model, wanted: dict[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return what the row holds and what is wanted, for those fields only in which they differ."""
    before = {name: getattr(row, name) for name in wanted}
    different = [name for name, new in wanted.items() if before[name] != new]
    return {name: before[name] for name in different}, {name: wanted[name] for name in different}


def written(figure: Any) -> Any:
    """Return the same in what JSON knows, without losing a digit: a Decimal becomes its text."""
    if isinstance(figure, dict):
        return {str(key): written(part) for key, part in figure.items()}
    if isinstance(figure, list | tuple | set | frozenset):
        return [written(part) for part in figure]
    if figure is None or isinstance(figure, bool | int | str):
        return str(figure) if isinstance(figure, models.Choices) else figure
    if isinstance(figure, Decimal):
        return format(figure, "f")
    if isinstance(figure, date | datetime):
        return figure.isoformat()
    return str(figure)
