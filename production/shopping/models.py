"""What suppliers sell: in which pack, for how much."""

from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models

from formulas.models import Material
from production.stock.models import Supplier
from soapshop.fields import MassField, MoneyField


class Offer(models.Model):
    """One pack of a material as one supplier sells it."""

    supplier = models.ForeignKey(Supplier, on_delete=models.CASCADE, related_name="offers")
    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="+")
    pack_grams = MassField("pack", validators=[MinValueValidator(Decimal("0.001"))])
    price = MoneyField(null=True, blank=True)

    class Meta:
        ordering = ["material__name", "pack_grams"]
        constraints = [
            models.UniqueConstraint(
                fields=["supplier", "material", "pack_grams"],
                name="pack_once_with_a_supplier",
                violation_error_message="This pack is on the supplier's list already.",
            ),
            models.CheckConstraint(
                condition=models.Q(pack_grams__gt=0),
                name="pack_weighs_something",
                violation_error_message="A pack weighs more than nothing.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material} from {self.supplier}"
