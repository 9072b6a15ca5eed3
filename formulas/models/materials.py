"""Everything that is bought and weighed, with the figures the chemistry, the label and the safety rules need."""

from decimal import Decimal
from typing import Any

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.urls import reverse

PERCENT: dict[str, Any] = {"max_digits": 7, "decimal_places": 4}


class MaterialQuerySet(models.QuerySet["Material"]):
    def of_kind(self, *kinds: str) -> "MaterialQuerySet":
        return self.filter(kind__in=kinds)

    def in_use(self) -> "MaterialQuerySet":
        return self.filter(is_shelved=False)


class Material(models.Model):
    """One material. A figure that is not known stays empty: unknown is not zero."""

    class Kind(models.TextChoices):
        FAT = "fat", "Fat or oil"
        ALKALI = "alkali", "Alkali (lye)"
        LIQUID = "liquid", "Liquid"
        ACID = "acid", "Acid or other lye eater"
        ADDITIVE = "additive", "Additive"
        FRAGRANCE = "fragrance", "Fragrance oil"
        ESSENTIAL_OIL = "essential_oil", "Essential oil"
        COLORANT = "colorant", "Colorant"
        BOTANICAL = "botanical", "Botanical"
        PACKAGING = "packaging", "Packaging"
        SOAP = "soap", "Own soap"

    class AlkaliKind(models.TextChoices):
        NAOH = "NaOH", "Sodium hydroxide (NaOH)"
        KOH = "KOH", "Potassium hydroxide (KOH)"

    class DoseBasis(models.TextChoices):
        OILS = "oils", "Percent of oils"
        PORTION_OILS = "portion_oils", "Percent of the oils in the portion"
        LIQUID = "liquid", "Percent of liquid"

    # Bought and counted, or made here, but never a line of a formula.
    NO_INGREDIENT = (Kind.PACKAGING, Kind.SOAP)
    SCENTS = (Kind.FRAGRANCE, Kind.ESSENTIAL_OIL)

    key = models.SlugField("reference key", max_length=80, unique=True, null=True, blank=True)
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=16, choices=Kind.choices, db_index=True)
    # Fats. Saponification value in mg KOH for each gram: lowest, planned, highest.
    sap_low = models.DecimalField("SAP lowest", max_digits=8, decimal_places=3, null=True, blank=True)
    sap_plan = models.DecimalField("SAP planned", max_digits=8, decimal_places=3, null=True, blank=True)
    sap_high = models.DecimalField("SAP highest", max_digits=8, decimal_places=3, null=True, blank=True)
    iodine_value = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    gives_glycerol = models.BooleanField(default=True)
    density_g_per_ml = models.DecimalField(max_digits=6, decimal_places=4, null=True, blank=True)
    unsaponifiable_percent = models.DecimalField(null=True, blank=True, **PERCENT)
    fatty_acids_percent: Any = models.JSONField(
        default=dict, blank=True, help_text="Typical share of each fatty acid, percent, such as 12:0."
    )
    # Liquids.
    water_percent = models.DecimalField(null=True, blank=True, **PERCENT)
    fat_percent = models.DecimalField(null=True, blank=True, **PERCENT)
    fat_sap_low = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)
    fat_sap_high = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)
    sugars_percent = models.DecimalField(null=True, blank=True, **PERCENT)
    protein_percent = models.DecimalField(null=True, blank=True, **PERCENT)
    alcohol_percent = models.DecimalField(null=True, blank=True, **PERCENT)
    # Acids and other materials that use up lye.
    alkali_demand_g_naoh_per_g = models.DecimalField(max_digits=8, decimal_places=6, null=True, blank=True)
    # Alkalis.
    alkali_kind = models.CharField(max_length=4, choices=AlkaliKind.choices, blank=True)
    purity_low_percent = models.DecimalField(null=True, blank=True, **PERCENT)
    purity_percent = models.DecimalField(null=True, blank=True, **PERCENT)
    purity_high_percent = models.DecimalField(null=True, blank=True, **PERCENT)
    # Doses.
    dose_low_percent = models.DecimalField(null=True, blank=True, **PERCENT)
    dose_high_percent = models.DecimalField(null=True, blank=True, **PERCENT)
    dose_basis = models.CharField(max_length=12, choices=DoseBasis.choices, blank=True)
    grams_per_teaspoon = models.DecimalField(max_digits=7, decimal_places=3, null=True, blank=True)
    when_added = models.CharField(max_length=120, blank=True)
    # Scents.
    scent_limit_percent = models.DecimalField(
        "limit on the finished bar, percent",
        help_text="From the supplier's certificate. Empty means unknown, not unlimited.",
        null=True,
        blank=True,
        **PERCENT,
    )
    scent_limit_source = models.CharField(max_length=200, blank=True)
    flash_point_c = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    speeds_trace = models.BooleanField(default=False)
    vanillin_percent = models.DecimalField(
        help_text="Browns light soap within two to three weeks. Empty means unknown, not none.",
        null=True,
        blank=True,
        **PERCENT,
    )
    color_change = models.CharField(
        "color change seen",
        max_length=200,
        blank=True,
        help_text="By week, such as: week 1 cream, week 3 tan.",
    )
    has_allergen_statement = models.BooleanField(
        "the supplier's allergen statement is entered", default=False, help_text="Until then allergens are unknown."
    )
    # Names on labels.
    label_name_us = models.CharField(max_length=160, blank=True)
    label_name_eu = models.CharField(max_length=160, blank=True)
    soap_name_sodium = models.CharField(max_length=160, blank=True)
    soap_name_potassium = models.CharField(max_length=160, blank=True)
    has_confirmed_names = models.BooleanField(
        "label names confirmed", default=False, help_text="A person has checked the names against the current list."
    )
    color_index = models.CharField("color index number", max_length=40, blank=True)
    color_hex = models.CharField(max_length=7, blank=True)
    us_color_listing = models.CharField(max_length=200, blank=True)
    avoid_groups: Any = models.JSONField(default=list, blank=True, help_text="Such as palm, nut, animal, dairy.")
    # Where the figures come from.
    source = models.CharField(max_length=400, blank=True)
    source_status = models.CharField(max_length=60, blank=True)
    note = models.TextField(blank=True)
    reference_values: Any = models.JSONField(null=True, blank=True, editable=False)
    is_shelved = models.BooleanField("no longer used", default=False)

    objects = MaterialQuerySet.as_manager()

    class Meta:
        ordering = ["kind", "name"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"), name="material_name_once", violation_error_message="There is a material of this name."
            ),
            models.CheckConstraint(
                condition=Q(sap_plan__isnull=True) | (Q(sap_low__lte=F("sap_plan")) & Q(sap_plan__lte=F("sap_high"))),
                name="sap_in_order",
                violation_error_message="The SAP values must rise: lowest, planned, highest.",
            ),
            models.CheckConstraint(
                condition=Q(sap_low__isnull=True) | (Q(sap_low__gte=40) & Q(sap_high__lte=360)),
                name="sap_can_be_true",
                violation_error_message=(
                    "A SAP value lies between 40 and 360 mg of KOH a gram. "
                    "Was a factor in g/g typed? Multiply it by 1,000."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("formulas:material", args=[self.pk])

    @property
    def initial(self) -> str:
        return self.name[:1].upper()

    @property
    def is_scent(self) -> bool:
        return self.kind in self.SCENTS


class Allergen(models.Model):
    """One entry of the list of fragrance allergens, with its dates; loaded from the reference table."""

    entry = models.CharField("list entry", max_length=20, unique=True)
    name = models.CharField(max_length=120)
    covered_names = models.TextField(blank=True)
    cas_numbers = models.CharField(max_length=300, blank=True)
    is_prohibited = models.BooleanField(default=False)
    source = models.CharField(max_length=600, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class MaterialAllergen(models.Model):
    """How much of one allergen a scent, oil or extract holds, from the supplier's statement (top of a range)."""

    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="allergen_shares")
    allergen = models.ForeignKey(Allergen, on_delete=models.PROTECT, related_name="+")
    share_percent = models.DecimalField(max_digits=8, decimal_places=5)
    source = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["allergen__name"]
        constraints = [
            models.UniqueConstraint(fields=["material", "allergen"], name="allergen_once_for_a_material"),
            models.CheckConstraint(
                condition=Q(share_percent__gte=Decimal(0)) & Q(share_percent__lte=Decimal(100)),
                name="allergen_share_is_a_share",
                violation_error_message="A share lies between 0 and 100 percent.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.allergen}: {self.share_percent} %"
