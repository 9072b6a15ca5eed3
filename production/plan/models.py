"""When the workshop works and what it can hold at once, the plans that were proposed, and dates held for customers."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from formulas.models import Design

MINUTES_A_DAY = 1440
# A working figure of common practice (no published source): four hours at the bench on a day that is open.
USUAL_MINUTES = 240
# Who works a plan out says so every second or two; after so long nobody does any more.
SILENCE = timedelta(seconds=30)


def _minutes(name: str) -> Any:
    return models.PositiveSmallIntegerField(
        f"{name}, minutes", default=USUAL_MINUTES, validators=[MaxValueValidator(MINUTES_A_DAY)]
    )


class WorkWeek(models.Model):
    """The one row that says how long the bench is manned on each weekday (0 = closed) and what fits at once."""

    monday = _minutes("Monday")
    tuesday = _minutes("Tuesday")
    wednesday = _minutes("Wednesday")
    thursday = _minutes("Thursday")
    friday = _minutes("Friday")
    saturday = _minutes("Saturday")
    sunday = _minutes("Sunday")
    makers = models.PositiveSmallIntegerField(
        "people who pour", default=1, validators=[MinValueValidator(1), MaxValueValidator(20)]
    )
    pours_per_maker = models.PositiveSmallIntegerField(
        "pours one person can do a day", default=2, validators=[MinValueValidator(1), MaxValueValidator(20)]
    )
    rack_bars = models.PositiveIntegerField(
        "bars the rack holds", default=400, validators=[MinValueValidator(1), MaxValueValidator(100_000)]
    )
    buffer_days = models.PositiveSmallIntegerField(
        "days of air before an order is due", default=3, validators=[MaxValueValidator(60)]
    )
    hold_days = models.PositiveSmallIntegerField(
        "days a promised date is held", default=7, validators=[MinValueValidator(1), MaxValueValidator(90)]
    )
    pot_liters = models.DecimalField(
        "batter your largest pot takes, liters",
        max_digits=6,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.1"))],
        help_text="Or what you can lift. Empty: a pour is limited by the molds alone.",
    )
    shipping_weekdays: Any = models.JSONField("days you hand over or post", default=list, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="one_work_week"),
            models.CheckConstraint(
                condition=Q(monday__gt=0)
                | Q(tuesday__gt=0)
                | Q(wednesday__gt=0)
                | Q(thursday__gt=0)
                | Q(friday__gt=0)
                | Q(saturday__gt=0)
                | Q(sunday__gt=0),
                name="some_weekday_is_open",
                violation_error_message="The workshop is closed on all seven weekdays. Give one of them some minutes.",
            ),
        ]

    def __str__(self) -> str:
        return "Work week"

    @classmethod
    def current(cls) -> "WorkWeek":
        """Return the row, making it with its starting figures on first use."""
        return cls.objects.get_or_create(pk=1)[0]

    @property
    def minutes_by_weekday(self) -> tuple[int, ...]:
        """Minutes from Monday to Sunday."""
        return (
            self.monday,
            self.tuesday,
            self.wednesday,
            self.thursday,
            self.friday,
            self.saturday,
            self.sunday,
        )

    @property
    def pours_per_day(self) -> int:
        return self.makers * self.pours_per_maker


class TimeAway(models.Model):
    """Days on which nobody works, both included."""

    first_on = models.DateField("first day")
    last_on = models.DateField("last day", db_index=True)
    reason = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["first_on"]
        verbose_name_plural = "times away"
        constraints = [
            models.CheckConstraint(
                condition=Q(first_on__lte=F("last_on")),
                name="time_away_in_order",
                violation_error_message="The time away ends before it begins. Swap the two days.",
            )
        ]

    def __str__(self) -> str:
        return self.reason or "Away"


class SpecialDay(models.Model):
    """One day that differs from its weekday: other minutes, or none."""

    day = models.DateField(unique=True)
    minutes = models.PositiveSmallIntegerField(default=0, validators=[MaxValueValidator(MINUTES_A_DAY)])
    note = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["day"]

    def __str__(self) -> str:
        return f"{self.day:%b %d, %Y}"


class BatchPin(models.Model):
    """A planned batch that no proposal may move."""

    batch = models.OneToOneField("production.Batch", on_delete=models.CASCADE, related_name="pin")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return f"{self.batch} stays where it is"


class OrderWeight(models.Model):
    """How much a late day of an order counts beside others in a plan; an order without a row counts once."""

    class Weight(models.IntegerChoices):
        USUAL = 1, "As much as any other"
        TWICE = 2, "Twice as much"
        FIVE = 5, "Five times as much"

    order = models.OneToOneField("orders.Order", on_delete=models.CASCADE, related_name="plan_weight")
    weight = models.PositiveSmallIntegerField(choices=Weight.choices, default=Weight.USUAL)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now=True)

    def __str__(self) -> str:
        return f"{self.order}: {self.get_weight_display().lower()}"

    @classmethod
    def by_order(cls, order_ids: Iterable[int]) -> dict[int, int]:
        """Return the weights of these orders that have one; the others count once."""
        return dict(cls.objects.filter(order__in=list(order_ids)).values_list("order_id", "weight"))


class PlanRun(models.Model):
    """One plan as it was proposed: from what, by which engine, how good, and who took what of it.

    A plan that is still being worked out tells how it goes: late days of the best so far, and the moment it said so.
    """

    class Work(models.TextChoices):
        WORKING = "working", "Being worked out"
        DONE = "done", "Worked out"
        STOPPED = "stopped", "Stopped with the best so far"
        BROKEN = "broken", "Broke off"

    at = models.DateTimeField(auto_now_add=True, db_index=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    for_day = models.DateField()
    input_hash = models.CharField(max_length=64)
    asked: Any = models.JSONField()
    answer: Any = models.JSONField(default=dict)
    work = models.CharField(max_length=8, choices=Work.choices, default=Work.DONE)
    seconds = models.PositiveSmallIntegerField("seconds it may take", default=0)
    told_at = models.DateTimeField(null=True, blank=True)
    late_days_so_far = models.PositiveIntegerField(null=True, blank=True)
    is_stop_asked = models.BooleanField(default=False)
    accepted_at = models.DateTimeField(null=True, blank=True)
    accepted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    accepted_keys: Any = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"Plan {self.pk}"

    def is_working(self, now: datetime) -> bool:
        """Say whether somebody still works on it; a silence of half a minute means that nobody does."""
        return self.work == self.Work.WORKING and now - (self.told_at or self.at) < SILENCE

    def has_broken_off(self, now: datetime) -> bool:
        return self.work == self.Work.BROKEN or (self.work == self.Work.WORKING and not self.is_working(now))


class HeldDate(models.Model):
    """A day told to a customer for so many bars, kept free until it expires or the order is placed."""

    class Source(models.TextChoices):
        FREE = "free", "From free bars"
        PINNED = "pinned", "With nothing moved"
        MOVABLE = "movable", "By moving other batches"

    design = models.ForeignKey(Design, on_delete=models.PROTECT, related_name="+")
    order = models.ForeignKey(
        "orders.Order", null=True, blank=True, on_delete=models.CASCADE, related_name="held_dates"
    )
    bars = models.PositiveIntegerField(validators=[MinValueValidator(1)])
    ready_on = models.DateField()
    source = models.CharField(max_length=8, choices=Source.choices)
    pour_on = models.DateField(null=True, blank=True)
    expires_on = models.DateField(db_index=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["expires_on", "pk"]

    def __str__(self) -> str:
        return f"{self.bars} bars held for {self.ready_on:%b %d, %Y}"
