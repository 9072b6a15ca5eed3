"""What both sides agreed to: numbered versions of the order sheet, and who approved which."""

from typing import Any

from django.conf import settings
from django.db import models


class Proof(models.Model):
    """One version of an order's sheet as it was shown. Approved once, never changed after."""

    class Way(models.TextChoices):
        OWN_PAGE = "own_page", "On the customer's page"
        TOLD_US = "told_us", "Told us"

    order = models.ForeignKey("orders.Order", on_delete=models.PROTECT, related_name="proofs")
    version = models.PositiveSmallIntegerField()
    frozen: Any = models.JSONField(help_text="The whole sheet as it was shown.")
    made_at = models.DateTimeField(auto_now_add=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    approved_at = models.DateTimeField(null=True, blank=True)
    approved_by_name = models.CharField("approved by", max_length=120, blank=True)
    approved_way = models.CharField(max_length=10, choices=Way.choices, blank=True)

    class Meta:
        ordering = ["-version"]
        constraints = [models.UniqueConstraint(fields=["order", "version"], name="proof_version_once")]

    def __str__(self) -> str:
        return f"Version {self.version} of {self.order}"

    @property
    def is_approved(self) -> bool:
        return self.approved_at is not None
