"""The scales of the workshop and their daily checks with a known mass."""

from datetime import date
from decimal import Decimal

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse

from formulas.weighing import Scale as ScaleFigures
from soapshop.fields import MassField

LEAST = MinValueValidator(Decimal("0.001"))


class ScaleQuerySet(models.QuerySet["Scale"]):
    def in_use(self) -> "ScaleQuerySet":
        return self.filter(retired_on__isnull=True)


class Scale(models.Model):
    """One scale: the most it takes, what it can show, and how it is checked."""

    name = models.CharField(max_length=40, unique=True)
    max_grams = MassField("takes at most", validators=[LEAST])
    step_grams = MassField("shows steps of", validators=[LEAST])
    min_grams = MassField("weighs from", default=Decimal(0))
    sd_grams = MassField("spread of ten weighings", null=True, blank=True)
    place = models.CharField(max_length=80, blank=True)
    test_grams = MassField("test weight", validators=[LEAST])
    limit_grams = MassField("may be off by", null=True, blank=True)
    retired_on = models.DateField(null=True, blank=True)

    objects = ScaleQuerySet.as_manager()

    class Meta:
        ordering = ["-max_grams", "name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(step_grams__gt=0) & Q(max_grams__gt=models.F("step_grams")),
                name="scale_takes_more_than_a_step",
                violation_error_message="A scale takes more than one of its steps. Check both figures.",
            ),
            models.CheckConstraint(
                condition=Q(test_grams__gt=0) & Q(test_grams__lte=models.F("max_grams")),
                name="scale_takes_its_test_weight",
                violation_error_message="The test weight is more than the scale takes. Use a lighter one.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("production:scale", args=[self.pk])

    @property
    def figures(self) -> ScaleFigures:
        return ScaleFigures(self.name, self.step_grams, self.max_grams, self.min_grams, self.sd_grams)


class ScaleCheck(models.Model):
    """One check: the known mass, what the scale showed, and whether that will do. Only ever added."""

    class Verdict(models.TextChoices):
        PASSED = "passed", "Passed"
        FAILED = "failed", "Failed"
        WAIVED = "waived", "Used unchecked"

    scale = models.ForeignKey(Scale, on_delete=models.PROTECT, related_name="checks")
    on = models.DateField()
    mass_grams = MassField(null=True, blank=True)
    shown_grams = MassField(null=True, blank=True)
    limit_grams = MassField(null=True, blank=True)
    verdict = models.CharField(max_length=6, choices=Verdict.choices)
    note = models.CharField(max_length=300, blank=True)
    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["scale", "on"], name="scale_check_of_a_day")]

    def __str__(self) -> str:
        return f"{self.scale} on {self.on}: {self.get_verdict_display()}"

    @property
    def error_grams(self) -> Decimal | None:
        return None if self.shown_grams is None or self.mass_grams is None else self.shown_grams - self.mass_grams

    def is_of(self, day: date) -> bool:
        return self.on == day
