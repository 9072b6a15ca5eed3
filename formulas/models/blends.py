"""Color blends: named mixes of colorants, so that a shade once found can be mixed again."""

from decimal import Decimal

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from formulas.models.materials import Material
from soapshop.photos import LONGEST_NAME

hex_color = RegexValidator(r"^#[0-9a-fA-F]{6}$", "Give the color as # and six figures, such as #c9a227.")
MOST_DOSE_PERCENT = 10  # of the oils in the jug; more cannot be meant


class ColorBlendQuerySet(models.QuerySet["ColorBlend"]):
    def in_use(self) -> "ColorBlendQuerySet":
        return self.filter(is_shelved=False)

    def with_parts(self) -> "ColorBlendQuerySet":
        return self.prefetch_related("parts__material")


class ColorBlend(models.Model):
    """A shade with its colorants in parts by weight, and how much of it a jug usually takes."""

    name = models.CharField(max_length=80, unique=True)
    color_hex = models.CharField("swatch", max_length=7, default="#b9c4a3", validators=[hex_color])
    dose_low_percent = models.DecimalField(max_digits=6, decimal_places=3, null=True, blank=True)
    dose_high_percent = models.DecimalField(max_digits=6, decimal_places=3, null=True, blank=True)
    photo = models.CharField(max_length=LONGEST_NAME, blank=True, editable=False, help_text="Name of the kept file.")
    learned = models.TextField("what was learned", blank=True)
    is_shelved = models.BooleanField("no longer mixed", default=False)

    objects = ColorBlendQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(dose_low_percent__isnull=True)
                | Q(dose_high_percent__isnull=True)
                | Q(dose_low_percent__lte=F("dose_high_percent")),
                name="blend_dose_in_order",
                violation_error_message="The lower dose cannot be more than the upper one.",
            ),
            models.CheckConstraint(
                condition=(Q(dose_low_percent__isnull=True) | Q(dose_low_percent__gt=0))
                & (Q(dose_high_percent__isnull=True) | Q(dose_high_percent__lte=MOST_DOSE_PERCENT)),
                name="blend_dose_can_be_true",
                violation_error_message="A dose lies above 0 and at most 10 percent of the oils in the jug.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("formulas:blend", args=[self.pk])


class ColorBlendPart(models.Model):
    blend = models.ForeignKey(ColorBlend, on_delete=models.CASCADE, related_name="parts")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="+")
    parts = models.DecimalField("parts by weight", max_digits=7, decimal_places=3, default=Decimal(1))

    class Meta:
        ordering = ["-parts", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["blend", "material"], name="colorant_once_in_a_blend"),
            models.CheckConstraint(
                condition=Q(parts__gt=0),
                name="blend_part_is_positive",
                violation_error_message="A colorant has more than 0 parts in a blend.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.parts.normalize():f} {self.material}"
