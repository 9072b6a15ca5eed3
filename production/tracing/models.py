"""Recalls and the drills that practice them: what was asked, what was found, who was told, how long it took."""

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from orders.models import Order
from production.tracing.words import duration


class Recall(models.Model):
    """One recall, or one drill of it. ``found`` is the trace as it stood when the work was finished."""

    class Kind(models.TextChoices):
        DRILL = "drill", "Drill"
        RECALL = "recall", "Recall"

    class Trigger(models.TextChoices):
        SUPPLIER = "supplier", "A supplier’s notice"
        COMPLAINT = "complaint", "A complaint"
        OWN = "own", "Our own finding"
        PRACTICE = "practice", "Practice"

    class Scope(models.TextChoices):
        SOAP = "soap", "What is in the bars"
        STOCK = "stock", "The stock only: bars are sound"

    number = models.CharField(max_length=20, unique=True)
    kind = models.CharField(max_length=6, choices=Kind.choices)
    asked = models.CharField("traced from", max_length=80)
    title = models.CharField(max_length=200)
    trigger = models.CharField(max_length=9, choices=Trigger.choices)
    scope = models.CharField("affected", max_length=5, choices=Scope.choices, default=Scope.SOAP)
    reason = models.CharField(max_length=400)
    hazard = models.CharField("what it may do", max_length=400, blank=True)
    started_at = models.DateTimeField()
    started_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    finished_at = models.DateTimeField(null=True, blank=True)
    finished_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    bars_counted = models.PositiveIntegerField("bars counted in the house", null=True, blank=True)
    authority = models.CharField("authority told, by whom and when", max_length=300, blank=True)
    cause = models.CharField(max_length=400, blank=True)
    words = models.CharField("how it ended", max_length=400, blank=True)
    found: Any = models.JSONField(null=True, blank=True, editable=False)
    typed_once = models.UUIDField(
        "form number against double clicks", null=True, blank=True, unique=True, editable=False
    )

    class Meta:
        ordering = ["-started_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(finished_at__isnull=True) | Q(finished_at__gte=F("started_at")),
                name="recall_ends_after_it_began",
                violation_error_message="A recall cannot end before it began.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.number}"

    def get_absolute_url(self) -> str:
        return reverse("production:recall", args=[self.number])

    @property
    def is_open(self) -> bool:
        return self.finished_at is None

    @property
    def is_drill(self) -> bool:
        return self.kind == self.Kind.DRILL

    @property
    def seconds_taken(self) -> int | None:
        return None if self.finished_at is None else int((self.finished_at - self.started_at).total_seconds())

    @property
    def taken(self) -> str:
        seconds = self.seconds_taken
        return "" if seconds is None else duration(seconds)


class RecallContact(models.Model):
    """One customer told about a recall, with the answer and what came back. Only ever added."""

    class Way(models.TextChoices):
        PHONE = "phone", "By phone"
        EMAIL = "email", "By e-mail"
        LETTER = "letter", "By letter"
        PERSON = "person", "In person"

    recall = models.ForeignKey(Recall, on_delete=models.CASCADE, related_name="contacts")
    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="+")
    way = models.CharField(max_length=6, choices=Way.choices)
    has_answered = models.BooleanField(default=False)
    answer = models.CharField(max_length=300, blank=True)
    bars_back = models.PositiveIntegerField("bars back or destroyed", default=0)
    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.order} told {self.get_way_display()}"
