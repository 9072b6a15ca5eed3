"""How this shop charges, and what was charged and paid for each order."""

from datetime import date
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from orders.money.cost import FreightRule
from orders.money.payments import EntryKind
from orders.money.pricing import PriceRule
from orders.money.tax import TaxMode, TaxRounding
from soapshop.fields import MoneyField

PERCENT: dict[str, Any] = {
    "max_digits": 6,
    "decimal_places": 3,
    "validators": [MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(100))],
}
NOT_BELOW_NOTHING = [MinValueValidator(Decimal(0))]


class HouseTerms(models.Model):
    """The one row that says how this shop charges. Read it through ``HouseTerms.current()``.

    The defaults are common practice among makers to order (no published source); each shop sets its own.
    """

    class Rule(models.TextChoices):
        MARKUP = PriceRule.MARKUP.value, "Cost and a percentage on it"
        MULTIPLE = PriceRule.MULTIPLE.value, "A multiple of the cost"
        PER_OUNCE = PriceRule.PER_OUNCE.value, "By weight, an ounce at a time"
        PRICE_LIST = PriceRule.PRICE_LIST.value, "The price list"

    class TaxIn(models.TextChoices):
        ON_TOP = TaxMode.ON_TOP.value, "On top of the price"
        INSIDE = TaxMode.INSIDE.value, "Inside the price"

    class TaxRounded(models.TextChoices):
        LINE = TaxRounding.LINE.value, "On each line"
        PAPER = TaxRounding.PAPER.value, "Once for the whole paper"

    class Freight(models.TextChoices):
        VALUE = FreightRule.VALUE.value, "By what the goods cost"
        WEIGHT = FreightRule.WEIGHT.value, "By what the goods weigh"

    price_rule = models.CharField("how a price is found", max_length=10, choices=Rule.choices, default="markup")
    markup_percent = models.DecimalField(
        "put on the cost, percent", max_digits=7, decimal_places=2, default=Decimal(50), validators=NOT_BELOW_NOTHING
    )
    cost_multiple = models.DecimalField(
        "times the cost", max_digits=6, decimal_places=2, default=Decimal(2), validators=NOT_BELOW_NOTHING
    )
    shop_multiple = models.DecimalField(
        "rule of thumb for shops, times the full cost",
        max_digits=6,
        decimal_places=2,
        default=Decimal(2),
        validators=NOT_BELOW_NOTHING,
    )
    customer_multiple = models.DecimalField(
        "rule of thumb for customers, times the full cost",
        max_digits=6,
        decimal_places=2,
        default=Decimal(4),
        validators=NOT_BELOW_NOTHING,
    )
    price_per_ounce = MoneyField("price an ounce", default=Decimal("1.50"), validators=NOT_BELOW_NOTHING)
    price_step = MoneyField("prices go up in steps of", default=Decimal("0.10"), validators=NOT_BELOW_NOTHING)
    rush_days = models.PositiveSmallIntegerField(
        "handed over sooner than this is a rush, days", default=0, validators=[MaxValueValidator(365)]
    )
    rush_percent = models.DecimalField("put on for a rush, percent", default=Decimal(25), **PERCENT)
    minimum_order = MoneyField("least an order must come to", default=Decimal(0), validators=NOT_BELOW_NOTHING)
    hourly_rate = MoneyField("an hour at the bench costs", default=Decimal(20), validators=NOT_BELOW_NOTHING)
    batch_minutes = models.PositiveSmallIntegerField("minutes for one pot, clearing up included", default=90)
    bar_minutes = models.DecimalField(
        "minutes for one bar, from cutting to the label",
        max_digits=5,
        decimal_places=2,
        default=Decimal("2.5"),
        validators=NOT_BELOW_NOTHING,
    )
    packaging_per_bar = MoneyField("wrap and label for one bar", default=Decimal("0.25"), validators=NOT_BELOW_NOTHING)
    overhead_percent = models.DecimalField("overhead on what goes in, percent", default=Decimal(12), **PERCENT)
    freight_rule = models.CharField("freight is shared", max_length=6, choices=Freight.choices, default="value")
    tax_mode = models.CharField("tax comes", max_length=8, choices=TaxIn.choices, default="on_top")
    tax_rounding = models.CharField("tax is rounded", max_length=8, choices=TaxRounded.choices, default="paper")
    tax_number = models.CharField("tax number on papers", max_length=40, blank=True)
    deposit_percent = models.DecimalField("deposit, percent", default=Decimal(50), **PERCENT)
    quote_days = models.PositiveSmallIntegerField("a quote is good for, days", default=21)
    deposit_days = models.PositiveSmallIntegerField("the deposit is due within, days", default=7)
    balance_days = models.PositiveSmallIntegerField("the balance is due before hand-over, days", default=3)
    cut_off_days = models.PositiveSmallIntegerField("changes end before the pour, days", default=7)
    early_percent_of_deposit = models.DecimalField(
        "kept of the deposit up to the cut-off, percent", default=Decimal(0), **PERCENT
    )
    late_percent_of_deposit = models.DecimalField(
        "kept of the deposit after the cut-off, percent", default=Decimal(100), **PERCENT
    )
    begun_percent_of_total = models.DecimalField(
        "kept of the price once work has begun, percent", default=Decimal(100), **PERCENT
    )
    paper_words = models.CharField("words at the foot of papers", max_length=300, blank=True)
    shared_room_words = models.CharField(
        "said beside what a bar is made without",
        max_length=300,
        blank=True,
        default="Other soaps, some with these things in them, are made in the same room.",
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(pk=1), name="one_house_terms", violation_error_message="A shop charges in one way only."
            )
        ]

    def __str__(self) -> str:
        return "How this shop charges"

    @classmethod
    def current(cls) -> "HouseTerms":
        """Return the row, making it with the defaults on first use."""
        return cls.objects.get_or_create(pk=1)[0]


class TaxRate(models.Model):
    """One line of the shop's own table of rates, which the shop answers for. Papers keep the rate they had."""

    name = models.CharField(max_length=60, unique=True, help_text="Such as Oregon, or Ireland, standard.")
    percent = models.DecimalField(**PERCENT)
    is_usual = models.BooleanField("taken when nothing else is said", default=False)
    is_shelved = models.BooleanField("no longer used", default=False)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["is_usual"],
                condition=Q(is_usual=True),
                name="one_usual_tax_rate",
                violation_error_message="Another rate is the usual one already. Take the mark away there first.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.percent.normalize():f} %"


class ListPrice(models.Model):
    """What one bar of a design costs by the shop's price list."""

    design = models.OneToOneField("formulas.Design", on_delete=models.CASCADE, related_name="+")
    price_per_bar = MoneyField(validators=NOT_BELOW_NOTHING)

    class Meta:
        ordering = ["design__name"]

    def __str__(self) -> str:
        return f"{self.design}: {self.price_per_bar}"


class OrderCharges(models.Model):
    """What is charged for an order beside its bars, at which tax, due when. One row for each order."""

    order = models.OneToOneField("orders.Order", on_delete=models.CASCADE, related_name="charges")
    discount_percent = models.DecimalField(default=Decimal(0), **PERCENT)
    discount_amount = MoneyField(default=Decimal(0), validators=NOT_BELOW_NOTHING)
    discount_words = models.CharField("what the discount is for", max_length=80, blank=True)
    # The rules of the house as they were when the order got charges of its own.
    rush_days = models.PositiveSmallIntegerField(default=0, editable=False)
    rush_percent = models.DecimalField(default=Decimal(0), editable=False, **PERCENT)
    minimum_order = MoneyField(default=Decimal(0), editable=False)
    # Set by a person instead of the rule; empty follows the rule.
    rush_fee = MoneyField("rush", null=True, blank=True, validators=NOT_BELOW_NOTHING)
    small_order_fee = MoneyField("small order", null=True, blank=True, validators=NOT_BELOW_NOTHING)
    fee_words = models.CharField("why less than the shop's rule", max_length=120, blank=True)
    setup_fee = MoneyField("stamp or design made for it", default=Decimal(0), validators=NOT_BELOW_NOTHING)
    post_fee = MoneyField("post and delivery", default=Decimal(0), validators=NOT_BELOW_NOTHING)
    tax_name = models.CharField(max_length=60, blank=True)
    tax_percent = models.DecimalField(default=Decimal(0), **PERCENT)
    tax_mode = models.CharField("tax comes", max_length=8, choices=HouseTerms.TaxIn.choices, default="on_top")
    tax_rounding = models.CharField(
        "tax is rounded", max_length=8, choices=HouseTerms.TaxRounded.choices, default="paper"
    )
    deposit_percent = models.DecimalField(default=Decimal(50), **PERCENT)
    valid_until = models.DateField("quote good until", null=True, blank=True)
    quoted_on = models.DateField(null=True, blank=True, editable=False)
    agreed_on = models.DateField(null=True, blank=True)
    deposit_due_on = models.DateField(null=True, blank=True)
    balance_due_on = models.DateField(null=True, blank=True)
    cancelled_on = models.DateField(null=True, blank=True, editable=False)
    cancelled_keep = MoneyField("kept after a cancellation", null=True, blank=True, editable=False)

    class Meta:
        verbose_name_plural = "order charges"

    def __str__(self) -> str:
        return f"Charges of {self.order}"

    def is_quote_over(self, on: date) -> bool:
        return self.agreed_on is None and self.valid_until is not None and self.valid_until < on


class Payment(models.Model):
    """Money that came in or was paid back. Only ever added: a slip is put right by a second entry that says so."""

    class Kind(models.TextChoices):
        PAYMENT = EntryKind.PAYMENT.value, "Paid"
        REFUND = EntryKind.REFUND.value, "Paid back"

    class Way(models.TextChoices):
        CASH = "cash", "Cash"
        TRANSFER = "transfer", "Bank transfer"
        CARD = "card", "Card"
        CHECK = "check", "Check"
        OTHER = "other", "Another way"

    order = models.ForeignKey("orders.Order", on_delete=models.PROTECT, related_name="payments")
    kind = models.CharField(max_length=8, choices=Kind.choices, default=Kind.PAYMENT)
    on = models.DateField("day", db_index=True)
    amount = MoneyField(validators=[MinValueValidator(Decimal("0.01"))])
    way = models.CharField("how", max_length=8, choices=Way.choices, default=Way.TRANSFER)
    note = models.CharField(max_length=200, blank=True)
    typed_once = models.UUIDField(
        "form number against double clicks", null=True, blank=True, unique=True, editable=False
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(amount__gt=0),
                name="payment_is_more_than_nothing",
                violation_error_message="An amount of money is more than nothing.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.amount} for {self.order}"

    @property
    def words(self) -> str:
        note = f", {self.note}" if self.note else ""
        return f"{self.get_kind_display()}, {self.get_way_display().lower()}{note}"
