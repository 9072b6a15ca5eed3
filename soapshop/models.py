"""The workshop itself: who works here, how this shop works, and what happened (the audit trail)."""

from decimal import Decimal
from typing import Any
from zoneinfo import available_timezones

from django.contrib.auth.models import AbstractUser
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from soapshop.fields import MassField


class User(AbstractUser):
    """One person, one account. A maker may do everything at the bench; only an owner approves and releases."""

    class Role(models.TextChoices):
        OWNER = "owner", "Owner"
        MAKER = "maker", "Maker"

    role = models.CharField(max_length=10, choices=Role.choices, default=Role.MAKER)

    @property
    def is_owner(self) -> bool:
        return self.role == self.Role.OWNER or self.is_superuser

    @property
    def display_name(self) -> str:
        return self.get_full_name() or self.get_username()


def validate_time_zone(name: str) -> None:
    if name not in available_timezones():
        raise ValidationError(f"“{name}” is not a known time zone. Use a name such as America/Chicago.")


class Workshop(models.Model):
    """The one row that says how this shop works. Read it through ``Workshop.current()``."""

    class Market(models.TextChoices):
        US_SOAP = "us_soap", "United States, sold only as soap"
        US_COSMETIC = "us_cosmetic", "United States, cosmetic"
        EU = "eu", "European Union"
        UK = "uk", "United Kingdom"
        CA = "ca", "Canada"

    class PaperSize(models.TextChoices):
        LETTER = "letter", "Letter (8.5 × 11 in)"
        A4 = "a4", "A4 (210 × 297 mm)"

    class MassUnit(models.TextChoices):
        GRAMS = "g", "Grams"
        OUNCES = "oz", "Ounces and pounds"

    class DeclarationStyle(models.TextChoices):
        AS_ADDED = "as_added", "As added (oils, water, sodium hydroxide)"
        AS_RESULTING = "as_resulting", "As resulting (soaps, glycerin, leftover oils)"

    name = models.CharField("workshop name", max_length=80, default="Our workshop")
    maker_name = models.CharField(
        "maker's name on labels", max_length=120, blank=True, help_text="Registered or trading name."
    )
    street = models.CharField(max_length=120, blank=True)
    city_line = models.CharField("city, state, postal code", max_length=120, blank=True)
    country = models.CharField(max_length=60, blank=True)
    prints_street = models.BooleanField(
        "print the street on labels",
        default=True,
        help_text="It may be left out only where a current public directory lists it (labeling rules of your country).",
    )
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    website = models.CharField(max_length=120, blank=True)
    time_zone = models.CharField(max_length=60, default="America/New_York", validators=[validate_time_zone])
    currency = models.CharField(max_length=3, default="USD", help_text="Three letters, such as USD, CAD, GBP or EUR.")
    mass_unit = models.CharField(max_length=2, choices=MassUnit.choices, default=MassUnit.GRAMS)
    paper_size = models.CharField(max_length=6, choices=PaperSize.choices, default=PaperSize.LETTER)
    market = models.CharField("market for labels", max_length=12, choices=Market.choices, default=Market.US_SOAP)
    declaration_style = models.CharField(
        max_length=12, choices=DeclarationStyle.choices, default=DeclarationStyle.AS_ADDED
    )
    # Common practice in the trade, to be replaced by the workshop's own habits (trade practice, no published source).
    cure_days = models.PositiveSmallIntegerField(default=42, validators=[MinValueValidator(1), MaxValueValidator(730)])
    least_cure_days = models.PositiveSmallIntegerField(
        default=28, validators=[MinValueValidator(1), MaxValueValidator(730)]
    )
    pack_days = models.PositiveSmallIntegerField("days to label and pack", default=2)
    in_hand_days = models.PositiveSmallIntegerField("days in hand before an event", default=7)
    bar_spare_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal("10"))
    bar_spare_least = models.PositiveSmallIntegerField(default=2)
    least_superfat_percent = models.DecimalField(
        max_digits=5, decimal_places=2, default=Decimal("2"), validators=[MinValueValidator(0), MaxValueValidator(30)]
    )
    lye_scale_step_grams = MassField(default=Decimal("0.1"))
    fat_scale_step_grams = MassField(default=Decimal("1"))
    dose_scale_step_grams = MassField(default=Decimal("0.1"))
    minor_scale_step_grams = MassField(default=Decimal("0.01"))
    alkali_tolerance_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal("0.5"))
    fat_tolerance_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal("1"))
    liquid_tolerance_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal("2"))
    dose_tolerance_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal("2"))
    minor_tolerance_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal("5"))
    # No standard: the usual cap in the trade, whatever more a certificate may allow (trade practice, no source).
    most_scent_percent = models.DecimalField(
        "most scent by weight of the oils percent",
        help_text="Your own rule, beside each scent's certificate. Empty is no such rule.",
        max_digits=5,
        decimal_places=2,
        default=Decimal("6"),
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(100)],
    )
    shared_room_words = models.CharField(
        "shared room, on labels",
        help_text="Printed on every label if you choose it, such as “Made in a room where nut oils are used”.",
        max_length=160,
        blank=True,
    )
    # A photo as soapshop/photos.py keeps it. Its file stays when another is chosen: printed papers show it.
    logo_name = models.CharField(max_length=80, blank=True, editable=False)
    logo_width_px = models.PositiveIntegerField(default=0, editable=False)
    logo_height_px = models.PositiveIntegerField(default=0, editable=False)
    # Start values from common practice, no published source; a shop puts its own there once it has made some batches.
    poured_low_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal("97"))
    poured_high_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal("100.5"))
    cut_low_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal("98"))
    cut_high_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal("100.5"))
    good_bars_low_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal("90"))
    good_bars_high_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal("105"))
    releases_lots_on_receipt = models.BooleanField(
        default=True, help_text="Receipt and release are one act. Turn it off to keep new lots in quarantine first."
    )
    eyewash_place = models.CharField("eyewash or tap", max_length=120, blank=True)
    emergency_number = models.CharField(max_length=40, blank=True)
    poison_center_number = models.CharField(max_length=40, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(pk=1), name="one_workshop", violation_error_message="There is one workshop only."
            ),
            models.CheckConstraint(
                condition=models.Q(least_cure_days__lte=models.F("cure_days")),
                name="least_cure_within_cure",
                violation_error_message="The least cure cannot be longer than the usual cure.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @classmethod
    def current(cls) -> "Workshop":
        """Return the workshop's row, making it with defaults on first use."""
        return cls.objects.get_or_create(pk=1)[0]

    @property
    def address_lines(self) -> tuple[str, ...]:
        street = self.street if self.prints_street else ""
        return tuple(line for line in (street, self.city_line, self.country) if line)


class AuditEvent(models.Model):
    """One thing a person did, in words a person can read. Rows are only ever added."""

    at = models.DateTimeField(auto_now_add=True, db_index=True)
    by = models.ForeignKey(User, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    verb = models.CharField(max_length=60)
    subject_type = models.CharField(max_length=60)
    subject_id = models.CharField(max_length=40, blank=True)
    text = models.TextField()
    before: Any = models.JSONField(null=True, blank=True)
    after: Any = models.JSONField(null=True, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["subject_type", "subject_id"])]

    def __str__(self) -> str:
        return f"{self.verb}: {self.text}"


class NumberSeries(models.Model):
    """The last number given out of a series, such as orders of all years or batches of 2026."""

    name = models.CharField(max_length=40, primary_key=True)
    last = models.PositiveIntegerField(default=0)

    class Meta:
        verbose_name_plural = "number series"

    def __str__(self) -> str:
        return f"{self.name}: {self.last}"
