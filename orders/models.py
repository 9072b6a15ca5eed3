"""What was promised, to whom, by when and at what price."""

from decimal import Decimal
from typing import Any

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse

from formulas.models import Design, Material, Part
from orders.order_states import CHOICES as ORDER_CHOICES
from orders.order_states import OrderState
from soapshop.fields import MoneyField

# Days outside these years are slips of the keyboard.
FIRST_YEAR, LAST_YEAR = 2000, 2100
# What the order's page reads of a line and of its parts; a design and a part have many columns more.
SHOWN_OF_LINE = (
    "order",
    "position",
    "bars",
    "wording",
    "packaging",
    "price_per_bar",
    "design__name",
    "design__formula__name",
)
SHOWN_OF_FINISH = ("line", "bars", "part__key", "part__name", "part__kind", "part__attached_at")


class Customer(models.Model):
    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    address = models.TextField(blank=True)
    avoid_groups: Any = models.JSONField(
        "groups to avoid", default=list, blank=True, help_text="Such as palm, nut, animal, dairy, scent."
    )
    avoid_materials = models.ManyToManyField(Material, blank=True, related_name="+", verbose_name="materials to avoid")
    note = models.TextField(blank=True)
    typed_once = models.UUIDField(
        "form number against double clicks", null=True, blank=True, unique=True, editable=False
    )
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("orders:customer", args=[self.pk])


class OrderQuerySet(models.QuerySet["Order"]):
    def for_list(self) -> "OrderQuerySet":
        return self.select_related("customer").only(
            "number", "status", "occasion", "needed_by", "is_at_risk", "customer__name"
        )

    def for_plan(self) -> "OrderQuerySet":
        """Fetch the lines with all that a plan of their batches reads."""
        return self.select_related("customer").prefetch_related(
            models.Prefetch("lines", OrderLine.objects.select_related("design__formula", "design__mold")),
            models.Prefetch("lines__finishes", LineFinish.objects.select_related("part")),
        )

    def for_promise(self) -> "OrderQuerySet":
        """Fetch what was promised and what stands on the order's page: lines, parts, the list of what is avoided."""
        return self.select_related("customer", "charges").prefetch_related(
            models.Prefetch("lines", OrderLine.objects.select_related("design__formula").only(*SHOWN_OF_LINE)),
            models.Prefetch("lines__finishes", LineFinish.objects.select_related("part").only(*SHOWN_OF_FINISH)),
            models.Prefetch("customer__avoid_materials", Material.objects.only("name")),
        )

    def for_page(self) -> "OrderQuerySet":
        return self.for_plan().prefetch_related(
            "customer__avoid_materials", models.Prefetch("events", OrderEvent.objects.select_related("by"))
        )


class Order(models.Model):
    class HandOver(models.TextChoices):
        PICK_UP = "pick_up", "Picked up"
        POST = "post", "Sent by post"
        DELIVERED = "delivered", "Delivered by us"

    number = models.CharField(max_length=20, unique=True, editable=False)
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="orders")
    status = models.CharField(max_length=20, choices=ORDER_CHOICES, default=OrderState.ENQUIRY.value, db_index=True)
    occasion = models.CharField(max_length=120, blank=True)
    event_date = models.DateField(null=True, blank=True)
    needed_by = models.DateField("needed in hand by", db_index=True)
    promised_date = models.DateField(null=True, blank=True)
    hand_over = models.CharField("hand-over", max_length=10, choices=HandOver.choices, default=HandOver.PICK_UP)
    travel_days = models.PositiveSmallIntegerField("days on the way", default=0, validators=[MaxValueValidator(90)])
    note = models.TextField(blank=True)
    is_at_risk = models.BooleanField(default=False, editable=False)
    risk_text = models.CharField(max_length=300, blank=True, editable=False)
    saves = models.PositiveIntegerField("times changed", default=0, editable=False)
    typed_once = models.UUIDField(
        "form number against double clicks", null=True, blank=True, unique=True, editable=False
    )
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+", editable=False
    )
    created_at = models.DateTimeField(auto_now_add=True)

    objects = OrderQuerySet.as_manager()

    class Meta:
        ordering = ["needed_by", "number"]
        # The order list counts how the open orders stand: from this index alone, without their rows.
        indexes = [models.Index(fields=["status", "needed_by", "is_at_risk"], name="order_standing")]

    def __str__(self) -> str:
        return f"Order {self.number}"

    def get_absolute_url(self) -> str:
        return reverse("orders:order", args=[self.number])

    @property
    def state(self) -> OrderState:
        return OrderState(self.status)


class OrderLineQuerySet(models.QuerySet["OrderLine"]):
    def for_page(self) -> "OrderLineQuerySet":
        return self.select_related("order__customer", "design").prefetch_related(
            "finishes__part", "design__parts__part"
        )


class OrderLine(models.Model):
    """So many bars of one design; the bars of one line may differ by their finish."""

    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField(default=1)
    design = models.ForeignKey(Design, on_delete=models.PROTECT, related_name="order_lines")
    bars = models.PositiveIntegerField(validators=[MinValueValidator(1), MaxValueValidator(5000)])
    wording = models.CharField("personal wording", max_length=120, blank=True)
    packaging = models.CharField(max_length=120, blank=True)
    price_per_bar = MoneyField(null=True, blank=True)
    frozen_design: Any = models.JSONField(null=True, blank=True, editable=False)
    typed_once = models.UUIDField(
        "form number against double clicks", null=True, blank=True, unique=True, editable=False
    )

    objects = OrderLineQuerySet.as_manager()

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(bars__gte=1) & Q(bars__lte=5000),
                name="line_bars_can_be_true",
                violation_error_message="An order line has from 1 to 5,000 bars. Split a larger order into lines.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.bars} × {self.design}"

    @property
    def price(self) -> Decimal | None:
        return None if self.price_per_bar is None else self.price_per_bar * self.bars


class LineFinish(models.Model):
    """A part on some or all bars of a line: topper A on 6 of 36, a seal on every bar."""

    line = models.ForeignKey(OrderLine, on_delete=models.CASCADE, related_name="finishes")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")
    bars = models.PositiveIntegerField(validators=[MinValueValidator(1)])

    class Meta:
        ordering = ["part__kind", "part__name"]
        constraints = [models.UniqueConstraint(fields=["line", "part"], name="part_once_in_a_line")]

    def __str__(self) -> str:
        return f"{self.part} on {self.bars}"


class OrderEvent(models.Model):
    """One thing that happened to an order, in words a person can read. Only ever added."""

    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="events")
    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    text = models.CharField(max_length=400)

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return self.text


# Each lives with its noun; named here so that Django finds them.
from orders.agreement.models import Proof  # noqa: E402
from orders.customer_page.models import CustomerLink  # noqa: E402
from orders.interchange.models import CalendarAddress  # noqa: E402
from orders.money.models import HouseTerms, ListPrice, OrderCharges, Payment, TaxRate  # noqa: E402
from orders.papers.models import Paper  # noqa: E402

__all__ = [
    "CalendarAddress",
    "Customer",
    "CustomerLink",
    "HouseTerms",
    "LineFinish",
    "ListPrice",
    "Order",
    "OrderCharges",
    "OrderEvent",
    "OrderLine",
    "Paper",
    "Payment",
    "Proof",
    "TaxRate",
]
