"""Molds: inside sizes in millimeters, the bars they give, and how many the workshop owns."""

from decimal import Decimal
from typing import Any

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse

LENGTH: dict[str, Any] = {"max_digits": 7, "decimal_places": 2, "validators": [MinValueValidator(Decimal(1))]}


class Mold(models.Model):
    class Kind(models.TextChoices):
        LOAF = "loaf", "Loaf"
        SLAB = "slab", "Slab"
        CAVITY = "cavity", "Cavity"
        COLUMN = "column", "Column"

    name = models.CharField(max_length=80, unique=True)
    kind = models.CharField(max_length=8, choices=Kind.choices)
    length_mm = models.DecimalField(null=True, blank=True, **LENGTH)
    width_mm = models.DecimalField(null=True, blank=True, **LENGTH)
    height_mm = models.DecimalField(null=True, blank=True, **LENGTH)
    diameter_mm = models.DecimalField(null=True, blank=True, **LENGTH)
    bar_thickness_mm = models.DecimalField(null=True, blank=True, **LENGTH)
    rows = models.PositiveSmallIntegerField("slab rows", null=True, blank=True)
    layers = models.PositiveSmallIntegerField("layers of bars", default=1, validators=[MinValueValidator(1)])
    columns = models.PositiveSmallIntegerField("slab columns", null=True, blank=True)
    cavity_ml = models.DecimalField("volume of one cavity, ml", max_digits=8, decimal_places=2, null=True, blank=True)
    cavities = models.PositiveSmallIntegerField(null=True, blank=True)
    end_trim_mm = models.DecimalField("trimmed at each end, mm", max_digits=5, decimal_places=2, default=Decimal(0))
    usable_bars = models.PositiveSmallIntegerField(
        "good bars from one filling", help_text="After the ends are off and the usual loss."
    )
    headroom_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal("2.5"))
    owned = models.PositiveSmallIntegerField("how many you own", default=1)
    box = models.ForeignKey(
        "self",
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="other_ways",
        verbose_name="another way to fill",
    )
    is_shelved = models.BooleanField("no longer used", default=False)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(usable_bars__gte=1),
                name="mold_gives_bars",
                violation_error_message="A mold gives at least one bar.",
            ),
            models.CheckConstraint(
                condition=(
                    ~Q(kind="loaf") | Q(length_mm__gt=0, width_mm__gt=0, height_mm__gt=0, bar_thickness_mm__gt=0)
                )
                & (~Q(kind="slab") | Q(length_mm__gt=0, width_mm__gt=0, height_mm__gt=0, rows__gt=0, columns__gt=0))
                & (~Q(kind="cavity") | Q(cavity_ml__gt=0, cavities__gt=0))
                & (~Q(kind="column") | Q(diameter_mm__gt=0, length_mm__gt=0, bar_thickness_mm__gt=0)),
                name="mold_sizes_for_its_kind",
                violation_error_message=(
                    "Give the sizes this kind of mold needs: loaf and slab length, width and height; "
                    "cavity its volume and count; column diameter and length."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("formulas:mold", args=[self.pk])

    @property
    def box_name(self) -> str:
        """Return the thing on the shelf that is full while this way is poured; fetch the box with it."""
        return self.box.name if self.box else self.name
