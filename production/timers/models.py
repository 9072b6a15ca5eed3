"""Timers of the bench: the server notes when each began, so that a reload or another device shows the same."""

from datetime import datetime, timedelta

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from production.batches.models import Batch

LONGEST_MINUTES = 7 * 24 * 60


class Timer(models.Model):
    """How long something of a batch has gone on, and when it is due."""

    batch = models.ForeignKey(Batch, on_delete=models.CASCADE, related_name="timers")
    what = models.CharField(max_length=60)
    minutes = models.PositiveSmallIntegerField(
        "due after", null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(LONGEST_MINUTES)]
    )
    started_at = models.DateTimeField()
    stopped_at = models.DateTimeField(null=True, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    typed_once = models.UUIDField(
        "form number against double clicks", null=True, blank=True, unique=True, editable=False
    )

    class Meta:
        ordering = ["started_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(stopped_at__isnull=True) | Q(stopped_at__gte=F("started_at")),
                name="timer_stops_after_it_starts",
                violation_error_message="A timer cannot stop before it starts.",
            )
        ]

    def __str__(self) -> str:
        return self.what

    @property
    def due_at(self) -> datetime | None:
        return None if self.minutes is None else self.started_at + timedelta(minutes=self.minutes)

    @property
    def taken_minutes(self) -> int | None:
        """Whole minutes from start to stop; None while it runs."""
        return None if self.stopped_at is None else int((self.stopped_at - self.started_at).total_seconds() // 60)
