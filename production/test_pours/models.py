"""Test pours: small batches of their own that try a design before it is sold."""

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse

from production.batches.models import Batch


class TestPour(models.Model):
    """What a batch tries, and what was decided about its design."""

    class Verdict(models.TextChoices):
        OPEN = "", "Not judged yet"
        APPROVED = "approved", "Approved into the design"
        TURNED_DOWN = "turned_down", "Not like this"

    batch = models.OneToOneField(Batch, on_delete=models.CASCADE, related_name="test_pour")
    bars = models.PositiveSmallIntegerField("bars to pour", validators=[MinValueValidator(1)])
    tries = models.CharField("what it tries", max_length=300)
    design_saves = models.PositiveIntegerField("times the design was saved when planned", editable=False)
    verdict = models.CharField(max_length=12, choices=Verdict.choices, blank=True)
    learned = models.TextField("what it taught", blank=True)
    changed_since = models.CharField("what was changed in the drawing since", max_length=300, blank=True)
    judged_on = models.DateField(null=True, blank=True)
    judged_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    typed_once = models.UUIDField(
        "form number against double clicks", null=True, blank=True, unique=True, editable=False
    )

    # A collector of tests takes any class with this beginning for one of its own.
    __test__ = False

    class Meta:
        ordering = ["-batch__pour_on", "-batch__number"]
        constraints = [
            models.CheckConstraint(
                condition=Q(verdict="") | Q(judged_on__isnull=False, judged_by__isnull=False) & ~Q(learned=""),
                name="judged_test_pour_says_what_it_taught",
                violation_error_message="A judged test pour has a day, a person and what it taught.",
            )
        ]

    def __str__(self) -> str:
        return f"Test pour {self.batch.number}"

    def get_absolute_url(self) -> str:
        return reverse("production:test-pour", args=[self.batch.number])

    @property
    def is_open(self) -> bool:
        return not self.verdict
