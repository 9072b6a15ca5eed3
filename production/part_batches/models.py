"""Batches of parts: one small pot for so many pieces, what went in, and the lot that came of it."""

from typing import Any

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse

from formulas.models import FormulaRevision, Material, Part
from production.batches.models import Weighing
from production.part_batches.states import CHOICES, PartBatchState
from production.stock.models import Lot, PartLot
from soapshop.fields import MassField


class PartBatchQuerySet(models.QuerySet["PartBatch"]):
    def for_page(self) -> "PartBatchQuerySet":
        return self.select_related("part", "revision__formula", "lot").prefetch_related(
            models.Prefetch("weighings", PartWeighing.objects.select_related("material", "lot", "weighed_by"))
        )

    def unfinished(self) -> "PartBatchQuerySet":
        """Those that still want hands, first to make first."""
        open_states = (PartBatchState.PLANNED.value, PartBatchState.POURED.value)
        return self.filter(status__in=open_states).select_related("part").order_by("make_on", "number")


class PartBatch(models.Model):
    number = models.CharField("batch number", max_length=20, unique=True)
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="part_batches")
    revision = models.ForeignKey(FormulaRevision, on_delete=models.PROTECT, related_name="part_batches")
    status = models.CharField(max_length=10, choices=CHOICES, default=PartBatchState.PLANNED.value, db_index=True)
    planned_pieces = models.PositiveIntegerField(validators=[MinValueValidator(1)])
    oils_grams = MassField()
    batter_grams = MassField()
    frozen: Any = models.JSONField(help_text="The formula, scaled, as it was when the batch was planned.")
    make_on = models.DateField("planned day")
    made_on = models.DateField(null=True, blank=True)
    superfat_percent = models.DecimalField(max_digits=8, decimal_places=4, null=True, blank=True)
    what_happened = models.CharField(max_length=400, blank=True)
    lot = models.OneToOneField(
        PartLot, null=True, blank=True, on_delete=models.PROTECT, related_name="made_in", verbose_name="lot of pieces"
    )
    tickets_printed = models.PositiveSmallIntegerField(default=0)
    typed_once = models.UUIDField(
        "form number against double clicks", null=True, blank=True, unique=True, editable=False
    )
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    objects = PartBatchQuerySet.as_manager()

    class Meta:
        ordering = ["-make_on", "-number"]
        verbose_name_plural = "batches of parts"
        constraints = [
            models.CheckConstraint(
                condition=Q(status__in=["planned", "cancelled"]) | Q(made_on__isnull=False),
                name="part_batch_poured_on_a_day",
                violation_error_message="A poured batch of parts has the day it was poured.",
            ),
            models.CheckConstraint(
                condition=~Q(status="shelved") | Q(lot__isnull=False),
                name="part_batch_on_the_shelf_has_a_lot",
                violation_error_message="Pieces on the shelf have a lot.",
            ),
        ]

    def __str__(self) -> str:
        return f"Batch of parts {self.number}"

    def get_absolute_url(self) -> str:
        return reverse("production:part-batch", args=[self.number])

    @property
    def state(self) -> PartBatchState:
        return PartBatchState(self.status)


class PartWeighing(models.Model):
    """One line of the weigh-out of a batch of parts."""

    part_batch = models.ForeignKey(PartBatch, on_delete=models.CASCADE, related_name="weighings")
    position = models.PositiveSmallIntegerField()
    phase = models.CharField(max_length=8, choices=Weighing.Phase.choices)
    tolerance_class = models.CharField(max_length=8, choices=Weighing.ToleranceClass.choices)
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="+")
    planned_grams = MassField()
    accept_low_grams = MassField()
    accept_high_grams = MassField()
    lot = models.ForeignKey(Lot, null=True, blank=True, on_delete=models.PROTECT, related_name="part_weighings")
    actual_grams = MassField(null=True, blank=True)
    weighed_at = models.DateTimeField(null=True, blank=True)
    weighed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["part_batch", "position"], name="part_weighing_position_once"),
            models.CheckConstraint(
                condition=Q(actual_grams__isnull=True) | Q(actual_grams__gt=0, lot__isnull=False),
                name="part_weighing_names_its_lot",
                violation_error_message="A weighing has more than 0 grams and names its lot.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material}: {self.planned_grams} g"

    # A ticket asks every line which jug it is for; a pot of parts has none.
    portion_letter = ""

    @property
    def is_in_band(self) -> bool:
        return self.actual_grams is not None and self.accept_low_grams <= self.actual_grams <= self.accept_high_grams
