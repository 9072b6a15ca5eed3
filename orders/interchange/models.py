"""The private address of the shop's calendar feed."""

from django.conf import settings
from django.db import models


class CalendarAddress(models.Model):
    """The newest open row is the shop's feed; renewing it closes the old address."""

    seed = models.CharField(max_length=64, editable=False)
    digest = models.CharField(max_length=64, unique=True, editable=False)
    closed_at = models.DateTimeField(null=True, blank=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-made_at", "-pk"]
        verbose_name_plural = "calendar addresses"

    def __str__(self) -> str:
        return "Calendar feed"
