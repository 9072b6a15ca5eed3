"""Parts made or bought ahead: embeds, toppers, seals, soap dough; stamps; and what a piece is made of."""

from decimal import Decimal
from typing import Any

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from formulas.models.blends import hex_color
from formulas.models.formulas import Formula
from formulas.models.materials import Material
from soapshop.fields import MassField


class Part(models.Model):
    """A piece made or bought ahead: an embed, a topper, a seal, soap dough."""

    class Kind(models.TextChoices):
        EMBED = "embed", "Embed"
        TOPPER = "topper", "Topper"
        SEAL = "seal", "Seal"
        DOUGH = "dough", "Soap dough"
        STAMP = "stamp", "Stamp on the face"

    class AttachedAt(models.TextChoices):
        POUR = "pour", "At the pour"
        CUT = "cut", "After the cut"
        CURED = "cured", "On the cured bar"

    name = models.CharField(max_length=80, unique=True)
    key = models.SlugField(max_length=40, unique=True)
    kind = models.CharField(max_length=8, choices=Kind.choices)
    formula = models.ForeignKey(
        Formula, null=True, blank=True, on_delete=models.PROTECT, related_name="parts", help_text="Empty when bought."
    )
    is_bought = models.BooleanField("bought ready made", default=False)
    batter_grams = MassField(
        "batter for one piece, grams",
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.001"))],
        help_text="Empty: as much as a piece weighs.",
    )
    # Only a stamp without a tint weighs nothing.
    unit_grams = MassField("weight of one piece, grams", validators=[MinValueValidator(Decimal(0))])
    # Typed loosely: the rules know these words as their own three literals.
    attached_at: Any = models.CharField(max_length=6, choices=AttachedAt.choices, default=AttachedAt.CUT)
    made_ahead_least_days = models.PositiveSmallIntegerField(default=1)
    made_ahead_most_days = models.PositiveSmallIntegerField(default=90)
    attach_window_days = models.PositiveSmallIntegerField(
        "attach within days of the cut", null=True, blank=True, help_text="While both faces are fresh."
    )
    spare_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(10))
    spare_least = models.PositiveSmallIntegerField(default=1)
    counts_as_contents = models.BooleanField("counts in the net weight", default=True)
    forbids_heat = models.BooleanField("must not meet heat or gel", default=False)
    forbids_wrap = models.BooleanField("must not be wrapped in film", default=False)
    packing = models.CharField("packed how", max_length=80, blank=True, help_text="Such as a box of its own.")
    minutes_per_piece = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(2))
    color_hex = models.CharField(max_length=7, default="#d8c9a8", validators=[hex_color])
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["kind", "name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(made_ahead_least_days__lte=F("made_ahead_most_days")),
                name="part_window_in_order",
                violation_error_message="The least days ahead cannot be more than the most.",
            ),
            models.CheckConstraint(
                condition=Q(is_bought=False) | Q(formula__isnull=True),
                name="part_bought_or_made",
                violation_error_message="A bought part is not made from a formula. Choose one of the two.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("formulas:part", args=[self.pk])

    @property
    def is_work(self) -> bool:
        """A stamp is work on the bar: nobody makes, counts or draws pieces of it."""
        return self.kind == self.Kind.STAMP

    @property
    def is_made_here(self) -> bool:
        return self.formula_id is not None

    @property
    def pour_grams(self) -> Decimal:
        """Return the batter that one piece takes; a piece that is not weighed wet is poured at its own weight."""
        return self.batter_grams or self.unit_grams

    @property
    def initial(self) -> str:
        return self.name[:1].upper()


class PartIngredient(models.Model):
    """What a piece is made of, for declaration and allergens; shares of the piece's weight.

    A part made from a formula has them from its approved revision; nobody types them.
    """

    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="ingredients")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="+")
    percent = models.DecimalField(max_digits=7, decimal_places=4)

    class Meta:
        ordering = ["-percent", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["part", "material"], name="material_once_in_a_part"),
            models.CheckConstraint(
                condition=Q(percent__gt=0) & Q(percent__lte=100),
                name="part_share_is_a_share",
                violation_error_message="A share lies above 0 and at most 100 percent.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material} {self.percent} %"
