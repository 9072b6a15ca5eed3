"""From one tub into several, or from several into one."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms

from orders.forms.boxes import OnceField
from production.stock.forms import AmountField
from production.stock.models import Lot
from soapshop.quantity import QuantityRefused, mass_grams
from soapshop.units import format_grams, round_grams

OTHERS = 12


class TubsField(forms.CharField):
    """What each new tub holds, one a line or with semicolons between; cleans to a tuple of grams."""

    def __init__(self, **kwargs: Any) -> None:
        box = forms.Textarea(attrs={"rows": 4, "autocomplete": "off", "class": "narrow"})
        super().__init__(max_length=600, widget=box, **kwargs)

    def clean(self, value: Any) -> tuple[Decimal, ...]:
        typed = super().clean(value) or ""
        tubs = [words.strip() for words in typed.replace(";", "\n").splitlines() if words.strip()]
        try:
            return tuple(round_grams(mass_grams(words, default_unit="gram")) for words in tubs)
        except QuantityRefused as refusal:
            raise forms.ValidationError(str(refusal)) from refusal


class RepackForm(forms.Form):
    """Grams out of this lot, and out of others of its material; empty tubs mean all of it goes into one."""

    tubs = TubsField(
        required=False,
        label="Each new tub holds",
        help_text="One a line, such as 500 g. Left empty: all of it goes into one tub.",
    )
    typed_once = OnceField()

    def __init__(self, *args: Any, lot: Lot, others: Iterable[Lot], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lots = [lot, *others]
        boxes: dict[str, forms.Field] = {
            f"lot_{each.pk}": AmountField(
                required=each is lot,
                default_unit="gram",
                example="",
                label=f"Out of {each.code}",
                help_text=f"{format_grams(each.grams_left)} left",
                error_messages={"required": "How much is taken out? Type it, such as 500 g."},
            )
            for each in self.lots
        }
        self.fields = {**boxes, **self.fields}

    @property
    def grams_by_lot(self) -> dict[int, Decimal]:
        typed = {lot.pk: self.cleaned_data.get(f"lot_{lot.pk}") for lot in self.lots}
        return {pk: grams for pk, grams in typed.items() if grams}

    @property
    def into(self) -> tuple[Decimal, ...]:
        return self.cleaned_data["tubs"] or (sum(self.grams_by_lot.values(), Decimal(0)),)
