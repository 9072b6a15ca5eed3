"""Private addresses under which a customer sees one order."""

from datetime import date

from django.conf import settings
from django.db import models


class CustomerLink(models.Model):
    """The address itself is not kept: it is worked out from the seed and the shop's secret key."""

    order = models.ForeignKey("orders.Order", on_delete=models.PROTECT, related_name="customer_links")
    seed = models.CharField(max_length=64, editable=False)
    digest = models.CharField(max_length=64, unique=True, editable=False)
    expires_on = models.DateField()
    closed_at = models.DateTimeField(null=True, blank=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return f"Customer's page of {self.order}"

    def is_open(self, on: date) -> bool:
        return self.closed_at is None and on <= self.expires_on
