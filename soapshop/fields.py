"""Database fields that keep sums exact: masses as whole milligrams, money as whole cents.

Both hand Python an exact ``Decimal`` (grams, currency units) and store an integer, so that sums, comparisons and
constraints mean the same on every database. ``SUM`` in SQL over such a column is an integer sum; the field turns the
result back into a Decimal.
"""

from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal, InvalidOperation
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models.expressions import Combinable

LARGEST_STORED = 9_000_000_000_000_000  # stays inside a signed 64-bit column


class ScaledDecimalField(models.BigIntegerField):
    """A Decimal with a fixed number of places, stored as an integer of its smallest unit."""

    # For the type checker: what a row hands out and what may be put into it.
    _pyi_private_set_type: Decimal | int | str | Combinable  # type: ignore[assignment]
    _pyi_private_get_type: Decimal  # type: ignore[assignment]
    _pyi_lookup_exact_type: Decimal | int | str  # type: ignore[assignment]
    _validators: list[Any]  # Django's own name for the validators that a field was given

    places = 0
    rounding = ROUND_HALF_EVEN
    unit_words = "number"

    @property
    def _step(self) -> Decimal:
        return Decimal(1).scaleb(-self.places)

    def to_python(self, value: Any) -> Decimal | None:
        if value is None or isinstance(value, Decimal):
            return value
        if isinstance(value, float):
            raise ValidationError(f"Give the {self.unit_words} as an exact number, not as a rounded one.")
        try:
            return Decimal(str(value))
        except InvalidOperation:
            raise ValidationError(f"“{value}” is not a {self.unit_words}. Type a number such as 12.5.") from None

    def from_db_value(self, value: int | None, expression: Any, connection: Any) -> Decimal | None:
        if value is None:
            return None
        return Decimal(value).scaleb(-self.places)

    def get_prep_value(self, value: Any) -> int | None:
        exact = self.to_python(value)
        if exact is None:
            return None
        if not exact.is_finite() or abs(exact) * 10**self.places > LARGEST_STORED:
            raise ValidationError(f"{exact} is too large for a {self.unit_words}.")
        return int(exact.quantize(self._step, rounding=self.rounding).scaleb(self.places))

    def get_db_prep_save(self, value: Any, connection: Any) -> Any:
        if hasattr(value, "as_sql"):
            return value
        return super().get_db_prep_save(value, connection)

    def value_to_string(self, obj: models.Model) -> str:
        return str(self.value_from_object(obj))

    @property
    def validators(self) -> list[Any]:
        return list(self._validators)

    def formfield(self, **kwargs: Any) -> forms.Field:
        defaults = {"form_class": forms.DecimalField, "max_digits": 15, "decimal_places": self.places}
        box = models.Field.formfield(self, **{**defaults, **kwargs})
        assert box is not None  # only fields that no form shows have none
        return box


class MassField(ScaledDecimalField):
    """Grams as Decimal in Python, whole milligrams in the database."""

    description = "A mass in grams, kept to the milligram"
    places = 3
    unit_words = "mass in grams"


class MoneyField(ScaledDecimalField):
    """Currency units as Decimal in Python, whole cents in the database; halves round up (commercial rounding)."""

    description = "An amount of money, kept to the cent"
    places = 2
    rounding = ROUND_HALF_UP
    unit_words = "money amount"
