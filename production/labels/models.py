"""Printed labels: a frozen copy of what was printed, how many, by whom."""

from typing import Any

from django.conf import settings
from django.db import models

from production.batches.models import Batch


class LabelPrint(models.Model):
    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="label_prints")
    finish = models.CharField(max_length=120, default="plain")
    stock_key = models.CharField("label stock", max_length=40)
    copies = models.PositiveIntegerField()
    frozen: Any = models.JSONField(help_text="Everything that was on the label.")
    sha256 = models.CharField(max_length=64)
    typed_once = models.UUIDField(
        "form number against double clicks", null=True, blank=True, unique=True, editable=False
    )
    printed_at = models.DateTimeField(auto_now_add=True)
    printed_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-printed_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.copies} labels for {self.batch}"
