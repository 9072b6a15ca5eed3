"""Formulas and their numbered revisions. A revision that a batch has used is never changed again."""

from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse

from formulas.models.materials import Material


class FormulaQuerySet(models.QuerySet["Formula"]):
    def for_list(self) -> "FormulaQuerySet":
        return self.prefetch_related(models.Prefetch("revisions", FormulaRevision.objects.order_by("-number")))


class Formula(models.Model):
    """A named formula; its content lives in revisions."""

    name = models.CharField(max_length=100, unique=True)
    note = models.TextField(blank=True)
    is_shelved = models.BooleanField("no longer made", default=False)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = FormulaQuerySet.as_manager()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("formulas:formula", args=[self.pk])


class RevisionQuerySet(models.QuerySet["FormulaRevision"]):
    def approved(self) -> "RevisionQuerySet":
        return self.filter(status=FormulaRevision.Status.APPROVED)

    def for_page(self) -> "RevisionQuerySet":
        return self.select_related("formula", "approved_by", "created_by").prefetch_related("lines__material")


class FormulaRevision(models.Model):
    class Status(models.TextChoices):
        DRAFT = "draft", "Draft"
        APPROVED = "approved", "Approved"
        RETIRED = "retired", "Retired"

    class LiquidBasis(models.TextChoices):
        LYE_CONCENTRATION = "lye_concentration", "Lye concentration, percent"
        LIQUID_TO_LYE = "liquid_to_lye", "Liquid : lye, parts of liquid to 1 of lye"
        PERCENT_OF_OILS = "percent_of_oils", "Liquid as percent of oils"

    formula = models.ForeignKey(Formula, on_delete=models.PROTECT, related_name="revisions")
    number = models.PositiveIntegerField()
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.DRAFT, db_index=True)
    superfat_percent = models.DecimalField(
        max_digits=5, decimal_places=2, default=Decimal(5), validators=[MinValueValidator(0), MaxValueValidator(50)]
    )
    liquid_basis = models.CharField(max_length=20, choices=LiquidBasis.choices, default=LiquidBasis.LYE_CONCENTRATION)
    liquid_value = models.DecimalField(max_digits=7, decimal_places=3, default=Decimal(33))
    stock_strength_percent = models.DecimalField(
        "lye drawn from a solution of this strength", max_digits=6, decimal_places=3, null=True, blank=True
    )
    weighing_error_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(0))
    oils_per_ml = models.DecimalField(
        "own measured fill, grams of oils a ml", max_digits=6, decimal_places=4, null=True, blank=True
    )
    # What the shop's own batches showed, written after each pour whose fill was measured.
    seen_oils_per_ml = models.DecimalField(
        "fill measured in batches, grams of oils a ml",
        max_digits=6,
        decimal_places=4,
        null=True,
        blank=True,
        editable=False,
    )
    seen_fills = models.PositiveSmallIntegerField("batches whose fill was measured", default=0, editable=False)
    cure_days = models.PositiveSmallIntegerField(default=42)
    least_cure_days = models.PositiveSmallIntegerField(default=28)
    process_note = models.TextField(blank=True)
    reason = models.CharField("why this revision", max_length=300, blank=True)
    override_reason = models.CharField("owner's reason for approving it all the same", max_length=300, blank=True)
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    created_at = models.DateTimeField(auto_now_add=True)
    saves = models.PositiveIntegerField("times saved", default=0, editable=False)
    approved_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    approved_at = models.DateTimeField(null=True, blank=True)

    objects = RevisionQuerySet.as_manager()

    class Meta:
        ordering = ["formula", "-number"]
        constraints = [
            models.UniqueConstraint(fields=["formula", "number"], name="revision_number_once"),
            models.UniqueConstraint(
                fields=["formula"],
                condition=Q(status="approved"),
                name="one_approved_revision",
                violation_error_message="Another revision is approved. Retire it first.",
            ),
            models.UniqueConstraint(
                fields=["formula"],
                condition=Q(status="draft"),
                name="one_draft_revision",
                violation_error_message="This formula has a draft already. Edit that one.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.formula.name}, revision {self.number}"

    def get_absolute_url(self) -> str:
        return reverse("formulas:revision", args=[self.formula_id, self.number])

    @property
    def is_draft(self) -> bool:
        return self.status == self.Status.DRAFT

    @property
    def is_approved(self) -> bool:
        return self.status == self.Status.APPROVED


class FormulaLine(models.Model):
    """One material of a revision.

    ``percent`` is of the oils for fats and additions, of the liquid for liquids, and of the fat neutralized for
    alkalis. Fats, liquids and alkalis each add up to 100.
    """

    class Stage(models.TextChoices):
        OILS = "oils", "Oils"
        ALKALI = "alkali", "Lye"
        LIQUID = "liquid", "Lye liquid"
        LYE = "lye", "Into the lye liquid"
        TRACE = "trace", "At trace"

    revision = models.ForeignKey(FormulaRevision, on_delete=models.CASCADE, related_name="lines")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="+")
    stage = models.CharField(max_length=8, choices=Stage.choices)
    percent = models.DecimalField(max_digits=7, decimal_places=4)
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["stage", "position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(percent__gt=0) & Q(percent__lte=200),
                name="line_percent_can_be_true",
                violation_error_message="A share lies above 0 and at most 200 percent.",
            ),
            models.UniqueConstraint(
                fields=["revision", "material", "stage"],
                name="material_once_in_a_stage",
                violation_error_message="This material stands in the formula twice. Add the shares up in one line.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material} {self.percent} %"
