"""What is on the shelf: lots of materials by weight and lots of parts by count, each with an append-only ledger."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse

from formulas.models import Material, Part
from formulas.part_windows import next_look
from production.lot_states import CHOICES as LOT_CHOICES
from production.lot_states import LotState
from soapshop.fields import MassField, MoneyField

NO_SUPPLIER_LOT = "none given"


class Supplier(models.Model):
    name = models.CharField(max_length=120, unique=True)
    contact = models.CharField(max_length=200, blank=True)
    lead_days = models.PositiveSmallIntegerField("days from order to door", null=True, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("production:supplier", args=[self.pk])


class LotQuerySet(models.QuerySet["Lot"]):
    def drawable(self, *, on: date | None = None, orders: Iterable[int] = ()) -> "LotQuerySet":
        """Released lots that still hold something, first to expire first; with a day, only those in date on it.

        What a customer brought for an order of their own is among them for that order alone.
        """
        open_to = Q(belongs_to__isnull=True) | Q(belongs_to__in=list(orders))
        lots = self.filter(open_to, status=LotState.RELEASED.value, grams_left__gt=0)
        if on is not None:
            lots = lots.filter(Q(expires_on__isnull=True) | Q(expires_on__gte=on))
        return lots.first_to_go()

    def on_the_shelf(self) -> "LotQuerySet":
        """Lots that hold something, whatever their state."""
        return self.filter(grams_left__gt=0)

    def first_to_go(self) -> "LotQuerySet":
        """First to expire first, then first received; what keeps on comes last."""
        return self.order_by(models.F("expires_on").asc(nulls_last=True), "received_on", "pk")


class Lot(models.Model):
    """One delivery of one material. ``grams_left`` is kept equal to the sum of its moves by the actions."""

    code = models.CharField("our lot", max_length=24, unique=True)
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="lots")
    supplier = models.ForeignKey(Supplier, null=True, blank=True, on_delete=models.PROTECT, related_name="lots")
    supplier_lot = models.CharField("supplier's lot", max_length=60, default=NO_SUPPLIER_LOT)
    status = models.CharField(max_length=20, choices=LOT_CHOICES, default=LotState.QUARANTINE.value)
    belongs_to = models.ForeignKey(
        "orders.Order",
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="own_lots",
        verbose_name="customer's own, for the order",
    )
    received_on = models.DateField()
    expires_on = models.DateField("use by", null=True, blank=True)
    opened_on = models.DateField(null=True, blank=True)
    received_grams = MassField(validators=[MinValueValidator(Decimal("0.001"))])
    grams_left = MassField()
    price = MoneyField(null=True, blank=True)
    freight = MoneyField(null=True, blank=True)
    sap_certificate = models.DecimalField(
        "SAP on the certificate, mg KOH/g", max_digits=8, decimal_places=3, null=True, blank=True
    )
    purity_percent = models.DecimalField(
        "purity on the certificate, percent", max_digits=7, decimal_places=4, null=True, blank=True
    )
    color_certification = models.CharField("color certification lot", max_length=60, blank=True)
    hold_reason = models.CharField(max_length=300, blank=True)
    contents: Any = models.JSONField(
        null=True,
        blank=True,
        editable=False,
        help_text="What a lot of the workshop's own soap holds, material by material; empty for what was bought.",
    )
    typed_once = models.UUIDField(
        "form number against double clicks", null=True, blank=True, unique=True, editable=False
    )

    objects = LotQuerySet.as_manager()

    class Meta:
        ordering = ["material__name", "received_on", "pk"]
        # Holds all that the stores page adds up, so that it never reads the lots themselves.
        indexes = [models.Index(fields=["material", "status", "expires_on", "grams_left"], name="lot_shelf")]
        constraints = [
            models.CheckConstraint(
                condition=Q(grams_left__gte=0),
                name="lot_never_below_zero",
                violation_error_message="A lot cannot give more than it holds.",
            ),
            models.CheckConstraint(
                condition=Q(sap_certificate__isnull=True) | (Q(sap_certificate__gte=40) & Q(sap_certificate__lte=360)),
                name="lot_sap_can_be_true",
                violation_error_message="A SAP value lies between 40 and 360 mg of KOH a gram.",
            ),
            models.CheckConstraint(
                condition=Q(purity_percent__isnull=True) | (Q(purity_percent__gte=50) & Q(purity_percent__lte=100)),
                name="lot_purity_can_be_true",
                violation_error_message="A purity lies between 50 and 100 percent.",
            ),
        ]

    def __str__(self) -> str:
        return self.code

    def get_absolute_url(self) -> str:
        return reverse("production:lot", args=[self.code])

    @property
    def state(self) -> LotState:
        return LotState(self.status)

    @property
    def has_supplier_lot(self) -> bool:
        return self.supplier_lot != NO_SUPPLIER_LOT

    def is_out_of_date(self, on: date) -> bool:
        return self.expires_on is not None and self.expires_on < on


class StockMove(models.Model):
    """One change of a lot's mass; plus in, minus out. Only ever added."""

    class Kind(models.TextChoices):
        RECEIPT = "receipt", "Received"
        DRAW = "draw", "Drawn into a batch"
        GIVE_BACK = "give_back", "Given back"
        COUNT = "count", "Corrected by weighing"
        WASTE = "waste", "Thrown away"
        RETURN = "return", "Sent back to the supplier"
        MADE = "made", "Made here"
        REPACK = "repack", "Repacked"

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="moves")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    grams = MassField()
    batch = models.ForeignKey(
        "production.Batch", null=True, blank=True, on_delete=models.PROTECT, related_name="stock_moves"
    )
    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=300, blank=True)
    typed_once = models.UUIDField(
        "form number against double clicks", null=True, blank=True, unique=True, editable=False
    )

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.grams} g of {self.lot}"


class PartLotQuerySet(models.QuerySet["PartLot"]):
    def usable(self, *, on: date) -> "PartLotQuerySet":
        """Lots that still hold pieces, are not held and are in date on the day; first to go out of date first."""
        lots = self.filter(is_held=False, pieces_left__gt=0)
        return lots.filter(Q(use_by__isnull=True) | Q(use_by__gte=on)).first_to_go()

    def first_to_go(self) -> "PartLotQuerySet":
        """First to go out of date first; what keeps on comes last."""
        return self.order_by(models.F("use_by").asc(nulls_last=True), "made_on", "pk")


class PartLot(models.Model):
    """Pieces of one part made or bought together."""

    code = models.CharField("our lot", max_length=24, unique=True)
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="lots")
    made_on = models.DateField()
    use_by = models.DateField(null=True, blank=True)
    is_wrapped = models.BooleanField("wrapped in film and closed up", default=True)
    looked_at_on = models.DateField("looked at last on", null=True, blank=True)
    pieces_made = models.PositiveIntegerField()
    pieces_left = models.PositiveIntegerField()
    is_held = models.BooleanField(default=False)
    hold_reason = models.CharField(max_length=300, blank=True)
    note = models.CharField(max_length=300, blank=True)
    typed_once = models.UUIDField(
        "form number against double clicks", null=True, blank=True, unique=True, editable=False
    )

    objects = PartLotQuerySet.as_manager()

    class Meta:
        ordering = ["part__name", "use_by", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(pieces_left__lte=models.F("pieces_made")),
                name="part_lot_holds_what_was_made",
                violation_error_message="A lot of parts cannot hold more pieces than were made.",
            )
        ]

    def __str__(self) -> str:
        return self.code

    def get_absolute_url(self) -> str:
        return reverse("production:part-lot", args=[self.code])

    def is_out_of_date(self, on: date) -> bool:
        return self.use_by is not None and self.use_by < on

    @property
    def look_again_on(self) -> date:
        """The day to look at the pieces again."""
        return next_look(self.looked_at_on or self.made_on)


class PartMove(models.Model):
    """One change of a part lot's count. Only ever added."""

    lot = models.ForeignKey(PartLot, on_delete=models.PROTECT, related_name="moves")
    pieces = models.IntegerField()
    is_broken = models.BooleanField("broke at the bench, and is on no bar", default=False)
    batch = models.ForeignKey(
        "production.Batch", null=True, blank=True, on_delete=models.PROTECT, related_name="part_moves"
    )
    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.pieces} of {self.lot}"


class Origin(models.Model):
    """What a lot on the shelf came from: repacked or mixed from other lots, made from a batch, or from its ends.

    The whole descent of a lot is read from these rows; they are only ever added.
    """

    lot = models.ForeignKey(Lot, null=True, blank=True, on_delete=models.PROTECT, related_name="origins")
    part_lot = models.ForeignKey(PartLot, null=True, blank=True, on_delete=models.PROTECT, related_name="origins")
    from_lot = models.ForeignKey(Lot, null=True, blank=True, on_delete=models.PROTECT, related_name="became")
    from_part_lot = models.ForeignKey(PartLot, null=True, blank=True, on_delete=models.PROTECT, related_name="became")
    from_batch = models.ForeignKey(
        "production.Batch", null=True, blank=True, on_delete=models.PROTECT, related_name="became"
    )
    grams = MassField(null=True, blank=True)
    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(lot__isnull=False, part_lot__isnull=True) | Q(lot__isnull=True, part_lot__isnull=False),
                name="origin_of_one_lot",
                violation_error_message="An origin belongs to one lot.",
            ),
            models.CheckConstraint(
                condition=Q(from_lot__isnull=False, from_part_lot__isnull=True, from_batch__isnull=True)
                | Q(from_lot__isnull=True, from_part_lot__isnull=False, from_batch__isnull=True)
                | Q(from_lot__isnull=True, from_part_lot__isnull=True, from_batch__isnull=False),
                name="origin_names_one_source",
                violation_error_message="An origin names one lot, one lot of parts or one batch.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.lot or self.part_lot} from {self.from_lot or self.from_part_lot or self.from_batch}"
