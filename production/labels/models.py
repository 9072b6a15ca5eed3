"""Printed labels as they were frozen and what became of them; stocks and printers; who answers in which market."""

from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db import models

from production.batches.models import Batch
from production.scales.models import Scale
from soapshop.fields import MassField

LENGTH: dict[str, Any] = {"max_digits": 6, "decimal_places": 3}


class LabelPrint(models.Model):
    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="label_prints")
    finish = models.CharField(max_length=120, default="plain")
    stock_key = models.CharField("label stock", max_length=40)
    copies = models.PositiveIntegerField()
    is_second = models.BooleanField("stickers with the customer's words alone", default=False)
    frozen: Any = models.JSONField(help_text="Everything that was on the label.")
    sha256 = models.CharField(max_length=64)
    typed_once = models.UUIDField(
        "form number against double clicks", null=True, blank=True, unique=True, editable=False
    )
    printed_at = models.DateTimeField(auto_now_add=True)
    printed_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-printed_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.copies} labels for {self.batch}"


class ShopStock(models.Model):
    """Labels as this shop buys them, measured on the sheet: margins of the first label, then the pitches."""

    class Shape(models.TextChoices):
        RECTANGLE = "rectangle", "Label, sticker or tag"
        ROUND = "round", "Round"
        BAND = "band", "Band around the bar"

    name = models.CharField(max_length=80, unique=True)
    shape = models.CharField(max_length=10, choices=Shape.choices, default=Shape.RECTANGLE)
    page_width_mm = models.DecimalField("page width", **LENGTH)
    page_height_mm = models.DecimalField("page height", **LENGTH)
    columns = models.PositiveSmallIntegerField("labels across", default=1)
    rows = models.PositiveSmallIntegerField("labels down", default=1)
    label_width_mm = models.DecimalField("label width", **LENGTH)
    label_height_mm = models.DecimalField("label height", **LENGTH)
    left_mm = models.DecimalField("left edge of the page to the first label", default=Decimal(0), **LENGTH)
    top_mm = models.DecimalField("top edge of the page to the first label", default=Decimal(0), **LENGTH)
    pitch_x_mm = models.DecimalField("left edge to left edge", **LENGTH)
    pitch_y_mm = models.DecimalField("top edge to top edge", **LENGTH)
    corner_radius_mm = models.DecimalField("corner radius", default=Decimal(0), **LENGTH)
    safe_margin_mm = models.DecimalField("free of words at the edge", default=Decimal("1.5"), **LENGTH)
    bleed_mm = models.DecimalField("color past the edge", default=Decimal(0), **LENGTH)
    glue_mm = models.DecimalField("bare end to glue, on a band", default=Decimal(0), **LENGTH)
    hole_mm = models.DecimalField("free along the top for a hole", default=Decimal(0), **LENGTH)
    is_shelved = models.BooleanField("no longer bought", default=False)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    @property
    def code(self) -> str:
        """How a printing names it, beside the codes of the stocks that come with the program."""
        return f"shop-{self.pk}"


class Printer(models.Model):
    name = models.CharField(max_length=60, unique=True, error_messages={"unique": "There is a printer of that name."})

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class PrinterFit(models.Model):
    """Where a printer puts things on one stock: four readings from its test sheet, in mm, right and down above zero."""

    printer = models.ForeignKey(Printer, on_delete=models.CASCADE, related_name="fits")
    stock_key = models.CharField("label stock", max_length=40)
    first_x_mm = models.DecimalField("first cross, to the right", max_digits=5, decimal_places=2)
    first_y_mm = models.DecimalField("first cross, down", max_digits=5, decimal_places=2)
    last_x_mm = models.DecimalField("last cross, to the right", max_digits=5, decimal_places=2)
    last_y_mm = models.DecimalField("last cross, down", max_digits=5, decimal_places=2)
    measured_at = models.DateTimeField(auto_now=True)
    measured_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-measured_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["printer", "stock_key"],
                name="one_fit_for_a_printer_and_stock",
                violation_error_message="This printer is measured for this stock already. Change that measurement.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.printer} on {self.stock_key}"


class MarketPerson(models.Model):
    """Who answers for the bars in one market, where that is not simply the workshop: one row a market."""

    class Market(models.TextChoices):
        EU = "eu", "European Union"
        UK = "uk", "Great Britain"
        CA = "ca", "Canada"

    market = models.CharField(max_length=12, choices=Market.choices, unique=True)
    name = models.CharField(max_length=120)
    address = models.CharField(max_length=300, help_text="Lines with commas between, as they stand on the label.")
    origin = models.CharField(
        "country of origin", max_length=60, blank=True, help_text="Such as “Made in USA”; empty if made in the market."
    )

    class Meta:
        ordering = ["market"]

    def __str__(self) -> str:
        return f"{self.name} ({self.get_market_display()})"

    @property
    def address_lines(self) -> tuple[str, ...]:
        return tuple(part.strip() for part in self.address.split(",") if part.strip())


class Assessment(models.Model):
    """An assessor's safety report on one design in one market. Rows are only added; the newest holds."""

    class ShareOf(models.TextChoices):
        BAR = "bar", "of the finished bar"
        OILS = "oils", "of the oils"

    design = models.ForeignKey("formulas.Design", on_delete=models.PROTECT, related_name="assessments")
    market = models.CharField(max_length=12)
    assessor = models.CharField(max_length=120)
    report = models.CharField("number of the report", max_length=80)
    assessed_on = models.DateField("day of the report")
    formula_name = models.CharField(max_length=120)
    revision_number = models.PositiveIntegerField("revision of the formula")
    most_scent_percent = models.DecimalField(
        "most scent percent", max_digits=6, decimal_places=3, null=True, blank=True
    )
    share_of = models.CharField("measured as a share", max_length=4, choices=ShareOf.choices, default=ShareOf.BAR)
    noted_at = models.DateTimeField(auto_now_add=True)
    noted_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-noted_at", "-pk"]

    def __str__(self) -> str:
        return f"Report {self.report} for {self.design}"


class LabelAnswer(models.Model):
    """What a person decided on one question the rules leave open, for one design and market. Rows are only added."""

    design = models.ForeignKey("formulas.Design", on_delete=models.PROTECT, related_name="label_answers")
    market = models.CharField(max_length=12)
    question = models.CharField(max_length=60, help_text="Short name of the question.")
    asked = models.TextField(help_text="The question as it was asked; a changed one is asked again.")
    answer = models.CharField(max_length=400)
    decided_at = models.DateTimeField(auto_now_add=True)
    decided_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-decided_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.question} for {self.design}: {self.answer[:40]}"


class LabelCount(models.Model):
    """What became of printed labels, counted once the bars are labeled. Rows are only added; the newest counts."""

    label_print = models.ForeignKey(LabelPrint, on_delete=models.PROTECT, related_name="counts")
    used = models.PositiveIntegerField("on bars")
    spoiled = models.PositiveIntegerField("spoiled", default=0)
    left_over = models.PositiveIntegerField("left over and destroyed", default=0)
    words = models.CharField("why it does not add up", max_length=200, blank=True)
    counted_at = models.DateTimeField(auto_now_add=True)
    counted_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-counted_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.used} used, {self.spoiled} spoiled, {self.left_over} left of {self.label_print}"

    @property
    def missing(self) -> int:
        """Labels nobody can account for; below zero when more turned up than were printed."""
        return self.label_print.copies - self.used - self.spoiled - self.left_over


class LotWeighing(models.Model):
    """Finished bars of one lot on the scale, one by one. Rows are only added; the newest of a finish counts."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="lot_weighings")
    finish = models.CharField(max_length=120, default="plain")
    on = models.DateField()
    scale = models.ForeignKey(Scale, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    tare_grams = MassField("wrapper, taken off each weight", default=Decimal(0))
    milligrams: Any = models.JSONField(help_text="Net weight of each bar, whole milligrams, in the order weighed.")
    set_aside: Any = models.JSONField(default=list, help_text="Numbers of the bars that were set aside since.")
    typed_once = models.UUIDField(
        "form number against double clicks", null=True, blank=True, unique=True, editable=False
    )
    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{len(self.milligrams)} bars of {self.batch}"

    @property
    def bars_grams(self) -> tuple[tuple[int, Decimal], ...]:
        """Number and net weight of each bar that is still in the lot."""
        return tuple(
            (number, Decimal(weight) / 1000)
            for number, weight in enumerate(self.milligrams, start=1)
            if number not in self.set_aside
        )
