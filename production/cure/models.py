"""Bars on the rack: weigh-ins, checks, the release, and the ledger that says where every bar is."""

from datetime import date
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from orders.models import Order, OrderLine
from production.bar_ledger import CHOICES as BAR_CHOICES
from production.batches.models import Batch
from soapshop.fields import MassField


class CureWeighing(models.Model):
    """One marked bar on the scale on one day."""

    batch = models.ForeignKey(Batch, on_delete=models.CASCADE, related_name="cure_weighings")
    bar_mark = models.CharField("marked bar", max_length=10, default="1")
    on = models.DateField()
    grams = MassField(validators=[MinValueValidator(Decimal("0.001"))])
    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=200, blank=True)
    is_set_aside = models.BooleanField(
        default=False, help_text="Kept although it cannot be true; the forecast and the review leave it out."
    )

    class Meta:
        ordering = ["bar_mark", "on", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["batch", "bar_mark", "on"],
                name="bar_weighed_once_a_day",
                violation_error_message="This bar was weighed on that day already.",
            )
        ]

    def __str__(self) -> str:
        return f"bar {self.bar_mark}: {self.grams} g"


class Check(models.Model):
    """One test before release: what was done, the figure, the limit it was held against."""

    class Method(models.TextChoices):
        TITRATION = "titration", "Free alkali by titration in alcohol"
        PH = "ph", "pH of a 1 % solution"
        ZAP = "zap", "Zap test (a note, never proof)"
        LOOKS = "looks", "Looks and hardness"

    class Verdict(models.TextChoices):
        CLEAR = "clear", "Clear"
        AGAIN = "again", "Test again"
        FAILED = "failed", "Failed"

    batch = models.ForeignKey(Batch, on_delete=models.CASCADE, related_name="checks")
    method = models.CharField(max_length=10, choices=Method.choices)
    figure = models.DecimalField(max_digits=8, decimal_places=4, null=True, blank=True)
    acid_ml = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)
    acid_mol_per_l = models.DecimalField(max_digits=8, decimal_places=4, null=True, blank=True)
    soap_grams = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)
    is_meter_checked = models.BooleanField(default=True)
    limit_text = models.CharField(max_length=200, blank=True)
    verdict = models.CharField(max_length=8, choices=Verdict.choices)
    on = models.DateField()
    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["on", "pk"]

    def __str__(self) -> str:
        return f"{self.get_method_display()}: {self.get_verdict_display()}"


class Release(models.Model):
    """A person's decision about a batch, with its sentence. Only ever added; the newest counts."""

    class Decision(models.TextChoices):
        RELEASED = "released", "Released"
        HELD = "held", "Held"
        REJECTED = "rejected", "Rejected"

    batch = models.ForeignKey(Batch, on_delete=models.CASCADE, related_name="releases")
    decision = models.CharField(max_length=10, choices=Decision.choices)
    words = models.CharField("in a sentence", max_length=400)
    on = models.DateField(null=True, blank=True)
    best_from = models.DateField(null=True, blank=True, help_text="Printed when released before the cure is over.")
    best_before = models.DateField(null=True, blank=True)
    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.batch}: {self.get_decision_display()}"

    @property
    def day(self) -> date:
        """The day it was decided on; older rows know the moment alone."""
        return self.on or timezone.localdate(self.at)


class Parcel(models.Model):
    """Bars of an order packed together, and when they left the house. Its contents are the moves that name it."""

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="parcels")
    position = models.PositiveSmallIntegerField("parcel", default=1)
    is_part = models.BooleanField("the rest follows", default=False)
    note = models.CharField(max_length=200, blank=True)
    packed_on = models.DateField(null=True, blank=True)
    packed_at = models.DateTimeField(auto_now_add=True)
    packed_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    handed_over_on = models.DateField(null=True, blank=True)
    handed_over_at = models.DateTimeField(null=True, blank=True)
    handed_over_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    frozen: Any = models.JSONField(null=True, blank=True, help_text="The packing slip as it left the house.")
    typed_once = models.UUIDField(
        "form number against double clicks", null=True, blank=True, unique=True, editable=False
    )

    class Meta:
        ordering = ["order", "position"]
        constraints = [models.UniqueConstraint(fields=["order", "position"], name="parcel_once_in_an_order")]

    def __str__(self) -> str:
        return f"parcel {self.position} of {self.order}"

    @property
    def is_gone(self) -> bool:
        return self.handed_over_at is not None


class BarMove(models.Model):
    """So many bars of one finish going from one place in the book to another. Only ever added."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="bar_moves")
    finish = models.CharField("finish", max_length=120, default="plain")
    from_state = models.CharField(max_length=20, choices=BAR_CHOICES)
    to_state = models.CharField(max_length=20, choices=BAR_CHOICES)
    bars = models.PositiveIntegerField(validators=[MinValueValidator(1)])
    line = models.ForeignKey(OrderLine, null=True, blank=True, on_delete=models.PROTECT, related_name="bar_moves")
    decision = models.ForeignKey(
        Release, null=True, blank=True, on_delete=models.PROTECT, related_name="moves", editable=False
    )
    parcel = models.ForeignKey(
        Parcel, null=True, blank=True, on_delete=models.PROTECT, related_name="moves", editable=False
    )
    is_correction = models.BooleanField(default=False)
    typed_once = models.UUIDField(
        "form number against double clicks", null=True, blank=True, unique=True, editable=False
    )
    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["at", "pk"]
        indexes = [
            models.Index(fields=["batch", "finish"]),
            # Holds all that a trace adds up, so that it need not read tens of thousands of moves one by one.
            models.Index(fields=["batch", "line", "from_state", "to_state", "bars"], name="bars_of_a_batch"),
        ]
        constraints = [
            models.CheckConstraint(condition=Q(bars__gte=1), name="bar_move_moves_bars"),
            models.CheckConstraint(condition=~Q(from_state=F("to_state")), name="bar_move_goes_somewhere"),
        ]

    def __str__(self) -> str:
        return f"{self.bars} bars {self.from_state} → {self.to_state}"
