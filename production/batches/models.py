"""Batches: the frozen copy of what was planned, and what really went in."""

from decimal import Decimal
from typing import Any

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse

from formulas.models import Design, FormulaRevision, Material, Mold
from orders.models import OrderLine
from production.batch_states import CHOICES as BATCH_CHOICES
from production.batch_states import BatchState
from production.stock.models import Lot
from soapshop.fields import MassField


class BatchQuerySet(models.QuerySet["Batch"]):
    def for_page(self) -> "BatchQuerySet":
        return self.select_related("design", "revision__formula", "mold", "test_pour").prefetch_related(
            models.Prefetch("serves", BatchFor.objects.select_related("line__order__customer")),
            models.Prefetch("weighings", Weighing.objects.select_related("lot", "material", "weighed_by")),
            "portions",
            "steps",
            "deviations",
        )

    def not_finished(self) -> "BatchQuerySet":
        return self.exclude(
            status__in=[BatchState.CANCELLED.value, BatchState.SCRAPPED.value, BatchState.REJECTED.value]
        )


class Batch(models.Model):
    number = models.CharField("batch number", max_length=20, unique=True)
    design = models.ForeignKey(Design, on_delete=models.PROTECT, related_name="batches")
    # None where no formula was followed: a rebatch is made of soap that is soap already.
    revision = models.ForeignKey(
        FormulaRevision, null=True, blank=True, on_delete=models.PROTECT, related_name="batches"
    )
    mold = models.ForeignKey(Mold, on_delete=models.PROTECT, related_name="batches")
    mold_count = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])
    status = models.CharField(max_length=20, choices=BATCH_CHOICES, default=BatchState.PLANNED.value, db_index=True)
    planned_bars = models.PositiveIntegerField()
    oils_grams = MassField()
    batter_grams = MassField()
    frozen: Any = models.JSONField(
        help_text="The formula, scaled, with portions, parts and finishes, as it was when the batch was planned."
    )
    pour_on = models.DateField("planned pour day", db_index=True)
    poured_on = models.DateField(null=True, blank=True)
    cut_on = models.DateField(null=True, blank=True)
    cure_days = models.PositiveSmallIntegerField()
    least_cure_days = models.PositiveSmallIntegerField()
    ready_seen_on = models.DateField(null=True, blank=True)
    in_molds_grams = MassField(null=True, blank=True)
    filled_to_mm = models.DecimalField("batter stands so high", max_digits=6, decimal_places=1, null=True, blank=True)
    left_in_pots_grams = MassField(null=True, blank=True)
    bars_cut = models.PositiveIntegerField(null=True, blank=True)
    ends_grams = MassField(null=True, blank=True)
    spoiled_at_cut = models.PositiveIntegerField(null=True, blank=True)
    mean_cut_bar_grams = MassField(null=True, blank=True)
    superfat_lowest_percent = models.DecimalField(max_digits=8, decimal_places=4, null=True, blank=True)
    superfat_actual_percent = models.DecimalField(max_digits=8, decimal_places=4, null=True, blank=True)
    superfat_highest_percent = models.DecimalField(max_digits=8, decimal_places=4, null=True, blank=True)
    hold_reason = models.CharField(max_length=300, blank=True)
    held_from = models.CharField(max_length=20, blank=True)
    rack_place = models.CharField(max_length=40, blank=True)
    tickets_printed = models.PositiveSmallIntegerField(default=0)
    note = models.TextField(blank=True)
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    objects = BatchQuerySet.as_manager()

    class Meta:
        ordering = ["pour_on", "number"]
        verbose_name_plural = "batches"

    def __str__(self) -> str:
        return f"Batch {self.number}"

    def get_absolute_url(self) -> str:
        return reverse("production:batch", args=[self.number])

    @property
    def state(self) -> BatchState:
        return BatchState(self.status)


class BatchFor(models.Model):
    """How many bars of a batch are planned for an order line."""

    batch = models.ForeignKey(Batch, on_delete=models.CASCADE, related_name="serves")
    line = models.ForeignKey(OrderLine, on_delete=models.PROTECT, related_name="planned_in")
    bars = models.PositiveIntegerField(validators=[MinValueValidator(1)])

    class Meta:
        constraints = [models.UniqueConstraint(fields=["batch", "line"], name="line_once_in_a_batch")]

    def __str__(self) -> str:
        return f"{self.bars} bars of {self.batch} for {self.line.order}"


class Weighing(models.Model):
    """One line of the weigh-out: planned, accepted band, and what the scale said."""

    class Phase(models.TextChoices):
        LYE = "lye", "Make the lye"
        OILS = "oils", "Oils"
        TRACE = "trace", "At trace"
        PORTION = "portion", "Portions"
        EXTRA = "extra", "Not on the ticket"
        SOAP = "soap", "Own soap"

    class ToleranceClass(models.TextChoices):
        ALKALI = "alkali", "Alkali"
        FAT = "fat", "Fat"
        LIQUID = "liquid", "Liquid"
        DOSE = "dose", "Dose"
        MINOR = "minor", "Minor"

    batch = models.ForeignKey(Batch, on_delete=models.CASCADE, related_name="weighings")
    position = models.PositiveSmallIntegerField()
    phase = models.CharField(max_length=8, choices=Phase.choices)
    tolerance_class = models.CharField(max_length=8, choices=ToleranceClass.choices)
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="+")
    portion_letter = models.CharField(max_length=2, blank=True)
    planned_grams = MassField()
    accept_low_grams = MassField()
    accept_high_grams = MassField()
    lot = models.ForeignKey(Lot, null=True, blank=True, on_delete=models.PROTECT, related_name="weighings")
    actual_grams = MassField(null=True, blank=True)
    spilled_grams = MassField("drawn, but spilled before the pot", default=Decimal(0))
    scale = models.CharField(max_length=40, blank=True)
    on_scale = models.ForeignKey(
        "production.Scale", null=True, blank=True, on_delete=models.PROTECT, related_name="weighings"
    )
    weighed_at = models.DateTimeField(null=True, blank=True)
    weighed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    checked_by = models.CharField(max_length=80, default="alone")
    typed_once = models.UUIDField(
        "form number against double clicks", null=True, blank=True, unique=True, editable=False
    )

    class Meta:
        ordering = ["position"]
        # Holds all that a trace asks, so that it need not read thousands of lines one by one.
        indexes = [models.Index(fields=["lot", "batch", "actual_grams"], name="weighing_from_a_lot")]
        constraints = [
            models.UniqueConstraint(fields=["batch", "position"], name="weighing_position_once"),
            models.CheckConstraint(
                condition=Q(actual_grams__isnull=True) | Q(actual_grams__gte=0),
                name="weighing_not_below_zero",
                violation_error_message="A scale does not show less than nothing. Type the grams that went in.",
            ),
            models.CheckConstraint(
                condition=Q(actual_grams__isnull=True)
                | (Q(weighed_by__isnull=False) & (Q(lot__isnull=False) | Q(actual_grams=0))),
                name="weighing_names_lot_and_person",
                violation_error_message="A weighing needs its lot and the person who weighed.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material}: {self.planned_grams} g"

    @property
    def is_weighed(self) -> bool:
        return self.actual_grams is not None

    @property
    def is_in_band(self) -> bool:
        return self.actual_grams is not None and self.accept_low_grams <= self.actual_grams <= self.accept_high_grams


class PortionFill(models.Model):
    """One jug of a batch: how much batter, what color."""

    batch = models.ForeignKey(Batch, on_delete=models.CASCADE, related_name="portions")
    letter = models.CharField(max_length=2)
    name = models.CharField(max_length=60)
    planned_grams = MassField()
    actual_grams = MassField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["letter"]
        constraints = [models.UniqueConstraint(fields=["batch", "letter"], name="portion_once_in_a_batch")]

    def __str__(self) -> str:
        return f"{self.letter} {self.name}"


class StepRecord(models.Model):
    """One step of the way, planned on a day and ticked when done."""

    batch = models.ForeignKey(Batch, on_delete=models.CASCADE, related_name="steps")
    position = models.PositiveSmallIntegerField()
    key = models.SlugField(max_length=30)
    label = models.CharField(max_length=80)
    due_on = models.DateField(db_index=True)
    last_on = models.DateField(null=True, blank=True)
    minutes = models.PositiveSmallIntegerField(default=0)
    done_on = models.DateField(null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    done_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["due_on", "position"]
        constraints = [models.UniqueConstraint(fields=["batch", "key"], name="step_once_in_a_batch")]

    def __str__(self) -> str:
        return self.label


class Deviation(models.Model):
    """What went otherwise than planned, what it may do, and what was decided."""

    class Kind(models.TextChoices):
        OTHER = "", "Something else"
        WEIGHT = "weight", "Outside its band"
        SPILLED = "spilled", "Something was spilled"
        EXTRA = "extra", "Something went in that is not on the ticket"
        OTHER_TUB = "other_tub", "Another tub went in"
        LEFT_OUT = "left_out", "Something did not go in"
        SWAPPED = "swapped", "Two jugs changed places"
        COLOR = "color", "A jug has another color"
        SEIZED = "seized", "The batter seized"
        PART_BROKE = "part_broke", "A part broke"
        SKIPPED = "skipped", "A step was skipped"

    class Decision(models.TextChoices):
        OPEN = "", "Not decided yet"
        ACCEPT = "accept", "Accepted"
        EXTRA_CHECKS = "extra_checks", "Accepted after extra checks"
        REWORK = "rework", "Rework"
        SCRAP = "scrap", "Thrown away"

    batch = models.ForeignKey(Batch, on_delete=models.CASCADE, related_name="deviations")
    weighing = models.ForeignKey(Weighing, null=True, blank=True, on_delete=models.SET_NULL, related_name="deviations")
    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=12, choices=Kind.choices, blank=True)
    what = models.CharField("what happened", max_length=400)
    effect = models.CharField("what it may do", max_length=400, blank=True)
    decision = models.CharField(max_length=14, choices=Decision.choices, blank=True)
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    decided_at = models.DateTimeField(null=True, blank=True)
    decision_words = models.CharField(max_length=400, blank=True)
    typed_once = models.UUIDField(
        "form number against double clicks", null=True, blank=True, unique=True, editable=False
    )

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return self.what

    @property
    def is_open(self) -> bool:
        return not self.decision
