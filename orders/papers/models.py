"""Papers given to a customer: the frozen copy that each is drawn from, under its own number."""

from typing import Any

from django.conf import settings
from django.db import models
from django.urls import reverse

from soapshop.fields import MoneyField


class Paper(models.Model):
    """Only ever added. A mistake gets a new paper that names the one it replaces."""

    class Kind(models.TextChoices):
        QUOTE = "quote", "Quote"
        CONFIRMATION = "confirmation", "Order confirmation"
        INVOICE = "invoice", "Invoice"
        RECEIPT = "receipt", "Receipt"
        CREDIT_NOTE = "credit_note", "Credit note"
        PACKING_LIST = "packing_list", "Packing list"

    order = models.ForeignKey("orders.Order", on_delete=models.PROTECT, related_name="papers")
    kind = models.CharField(max_length=14, choices=Kind.choices)
    number = models.CharField(max_length=20, unique=True)
    issued_on = models.DateField()
    amount = MoneyField(null=True, blank=True)
    frozen: Any = models.JSONField(help_text="Everything that is on the paper.")
    replaces = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by", editable=False
    )
    payment = models.OneToOneField(
        "orders.Payment", null=True, blank=True, on_delete=models.PROTECT, related_name="receipt", editable=False
    )
    typed_once = models.UUIDField(
        "form number against double clicks", null=True, blank=True, unique=True, editable=False
    )
    issued_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["order", "kind"])]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.number}"

    def get_absolute_url(self) -> str:
        return reverse("orders:paper", args=[self.number])
