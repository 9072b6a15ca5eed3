"""Designs: the look of a bar, its colored portions, the parts it can carry, and the way it is made."""

from decimal import Decimal
from typing import Any

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from formulas.models.blends import ColorBlend, hex_color
from formulas.models.formulas import Formula
from formulas.models.materials import Material
from formulas.models.molds import Mold
from formulas.models.parts import Part


class DesignQuerySet(models.QuerySet["Design"]):
    def for_list(self) -> "DesignQuerySet":
        """Fetch what a list needs to draw each design."""
        return self.select_related("formula", "mold").prefetch_related("rows__portions", "parts__part")

    def for_page(self) -> "DesignQuerySet":
        return self.select_related("formula", "mold", "approved_by").prefetch_related(
            "rows__portions__colors__material",
            "rows__portions__colors__blend",
            "rows__portions__carrier_oil",
            "rows__portions__wet_liquid",
            "parts__part__ingredients__material",
            "steps",
        )


class Design(models.Model):
    name = models.CharField(max_length=100, unique=True)
    formula = models.ForeignKey(Formula, on_delete=models.PROTECT, related_name="designs")
    mold = models.ForeignKey(Mold, on_delete=models.PROTECT, related_name="designs", verbose_name="usual mold")
    identity = models.CharField("what the label calls it", max_length=40, default="Soap")
    is_beveled = models.BooleanField("bevel the edges", default=False)
    is_stamped = models.BooleanField("stamp the face", default=False)
    gels = models.BooleanField("goes through gel", default=False)
    note = models.TextField(blank=True)
    is_shelved = models.BooleanField("no longer made", default=False)
    saves = models.PositiveIntegerField("times saved", default=0, editable=False)
    approved_on = models.DateField("approved from a test pour on", null=True, blank=True, editable=False)
    approved_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, editable=False, on_delete=models.PROTECT, related_name="+"
    )
    approved_from = models.CharField("test pour", max_length=20, blank=True, editable=False)
    approved_saves = models.PositiveIntegerField("times saved when approved", null=True, blank=True, editable=False)
    learned = models.TextField("what the test pour taught", blank=True, editable=False)

    objects = DesignQuerySet.as_manager()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("formulas:design", args=[self.pk])

    @property
    def is_approved(self) -> bool:
        return self.approved_on is not None

    @property
    def has_changed_since(self) -> bool:
        """Whether the drawing or its way was saved again after it was approved."""
        return self.approved_saves is not None and self.saves != self.approved_saves

    @property
    def jug_names(self) -> list[str]:
        """Return each jug once, from the bottom up; fetch the rows and portions with it."""
        return list(dict.fromkeys(str(cell) for row in self.rows.all() for cell in row.portions.all()))


class DesignRow(models.Model):
    """One layer of the cross-section; position 1 lies at the bottom of the mold."""

    design = models.ForeignKey(Design, on_delete=models.CASCADE, related_name="rows")
    position = models.PositiveSmallIntegerField()
    height_share = models.DecimalField(
        "height, parts",
        max_digits=7,
        decimal_places=3,
        default=Decimal(1),
        validators=[MinValueValidator(Decimal("0.001"))],
    )

    class Meta:
        ordering = ["position"]
        constraints = [models.UniqueConstraint(fields=["design", "position"], name="design_row_position_once")]

    def __str__(self) -> str:
        return f"layer {self.position}"


class Portion(models.Model):
    """One place a jug is poured into: a cell of a layer, a swirl through it, or drops over the whole bar."""

    class Lies(models.TextChoices):
        CELL = "cell", "Cell"
        SWIRL = "swirl", "Swirl"
        DROP = "drop", "Drops"

    class Trace(models.TextChoices):
        EMULSION = "emulsion", "Emulsion"
        LIGHT = "light", "Light trace"
        MEDIUM = "medium", "Medium trace"
        THICK = "thick", "Thick trace"

    row = models.ForeignKey(DesignRow, on_delete=models.CASCADE, related_name="portions")
    position = models.PositiveSmallIntegerField("from the left", default=1)
    letter = models.CharField("jug", max_length=2)
    name = models.CharField(max_length=60)
    width_share = models.DecimalField(
        "width, parts",
        max_digits=7,
        decimal_places=3,
        default=Decimal(1),
        validators=[MinValueValidator(Decimal("0.001"))],
    )
    lies: Any = models.CharField("lies as", max_length=5, choices=Lies.choices, default=Lies.CELL)
    share_percent = models.DecimalField(
        "swirl or drops, percent",
        max_digits=5,
        decimal_places=2,
        default=Decimal(0),
        help_text="A swirl is a percent of its layer, drops are a percent of the bar.",
    )
    color_hex = models.CharField("color to draw it in", max_length=7, default="#e8dfc8", validators=[hex_color])
    is_scented = models.BooleanField(default=True)
    trace = models.CharField(max_length=8, choices=Trace.choices, default=Trace.LIGHT)
    pour_order = models.PositiveSmallIntegerField(default=1)
    accent_percent = models.DecimalField("made larger by, percent", max_digits=5, decimal_places=2, default=Decimal(0))
    carrier_oil = models.ForeignKey(
        Material, null=True, blank=True, on_delete=models.PROTECT, related_name="+", verbose_name="colors wetted with"
    )
    carrier_per_gram = models.DecimalField(
        "oil to wet a gram of color, grams", max_digits=4, decimal_places=2, default=Decimal(0)
    )
    is_carrier_extra = models.BooleanField("oil comes on top of the batch", default=False)
    wet_liquid = models.ForeignKey(
        Material, null=True, blank=True, on_delete=models.PROTECT, related_name="+", verbose_name="liquid stirred in"
    )
    wet_percent = models.DecimalField(
        "liquid on top, percent of the jug's batter", max_digits=5, decimal_places=2, default=Decimal(0)
    )
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["row__position", "position"]
        constraints = [
            models.UniqueConstraint(fields=["row", "position"], name="portion_position_once"),
            models.CheckConstraint(
                condition=Q(lies="cell") | Q(share_percent__gt=0, share_percent__lt=100),
                name="swirl_has_a_share",
                violation_error_message="A swirl or drops take more than 0 and less than 100 percent.",
            ),
            models.CheckConstraint(
                condition=Q(carrier_per_gram=0) | Q(carrier_per_gram__gt=0, carrier_oil__isnull=False),
                name="carrier_oil_has_a_name",
                violation_error_message="Say which oil wets the colors, or set its grams to 0.",
            ),
            models.CheckConstraint(
                condition=Q(wet_percent=0) | Q(wet_percent__gt=0, wet_percent__lte=50, wet_liquid__isnull=False),
                name="stirred_in_has_a_name",
                violation_error_message="Say which liquid is stirred in, at most 50 percent, or set it to 0.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.letter} {self.name}"


class PortionColor(models.Model):
    """One colorant of a jug; those that came out of a blend remember which."""

    portion = models.ForeignKey(Portion, on_delete=models.CASCADE, related_name="colors")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="+")
    blend = models.ForeignKey(ColorBlend, null=True, blank=True, on_delete=models.PROTECT, related_name="poured_in")
    percent_of_portion_oils = models.DecimalField(max_digits=7, decimal_places=4)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["portion", "material"], name="color_once_in_a_portion"),
            models.CheckConstraint(
                condition=Q(percent_of_portion_oils__gt=0) & Q(percent_of_portion_oils__lte=10),
                name="color_dose_can_be_true",
                violation_error_message="A color dose lies above 0 and at most 10 percent of the oils in the portion.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material} {self.percent_of_portion_oils} %"


class DesignPart(models.Model):
    """A part this design can carry: on every bar, or on as many bars as an order line asks for."""

    design = models.ForeignKey(Design, on_delete=models.CASCADE, related_name="parts")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="designs")
    on_every_bar = models.BooleanField(default=False)
    pieces_per_bar = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])

    class Meta:
        ordering = ["-on_every_bar", "part__kind", "part__name"]
        constraints = [models.UniqueConstraint(fields=["design", "part"], name="part_once_in_a_design")]

    def __str__(self) -> str:
        return f"{self.part} on {self.design}"


class RouteStep(models.Model):
    """One step of the way a design is made, with its window in days from another step.

    ``anchor`` is "pour", "release" or the key of another step of the same route. Negative days lie before it.
    """

    design = models.ForeignKey(Design, on_delete=models.CASCADE, related_name="steps")
    position = models.PositiveSmallIntegerField()
    key = models.SlugField(max_length=30)
    label = models.CharField(max_length=80)
    anchor = models.SlugField("counted from", max_length=30, default="pour")
    least_days = models.SmallIntegerField(default=0)
    most_days = models.SmallIntegerField(null=True, blank=True, help_text="Empty means until the release.")
    every_days = models.PositiveSmallIntegerField("again every so many days", default=0)
    fixed_minutes = models.PositiveSmallIntegerField(default=0)
    minutes_per_bar = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(0))
    needs_person = models.BooleanField(default=True)
    binds = models.BooleanField("the pour waits for it", default=True)
    is_for_part = models.BooleanField("falls away on a plain bar", default=False)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["design", "key"], name="step_once_in_a_route"),
            models.CheckConstraint(
                condition=Q(most_days__isnull=True) | Q(least_days__lte=F("most_days")),
                name="step_window_in_order",
                violation_error_message="The first day of a step cannot lie after its last day.",
            ),
        ]

    def __str__(self) -> str:
        return self.label
