"""Papers that came with a lot: its certificate, the safety sheet, the delivery note."""

from django.conf import settings
from django.db import models

from production.stock.models import Lot
from soapshop.photos import LONGEST_NAME


class LotPaper(models.Model):
    """One file of a lot, a PDF or a photo. The row keeps the name of the file on the disk, not the one it came by."""

    class Kind(models.TextChoices):
        CERTIFICATE = "certificate", "Certificate"
        SAFETY_SHEET = "safety_sheet", "Safety sheet"
        DELIVERY_NOTE = "delivery_note", "Delivery note"
        OTHER = "other", "Other paper"

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="papers")
    kind = models.CharField(max_length=14, choices=Kind.choices)
    file = models.CharField(max_length=LONGEST_NAME, editable=False)
    dated_on = models.DateField("dated", null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["kind", "-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.lot}"

    @property
    def is_pdf(self) -> bool:
        return self.file.endswith(".pdf")
