"""Own soap: into stock, into a rebatch, into another mold, into other tubs. What was typed always stays."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms

from formulas.models import Design, Material, Mold
from orders.forms.boxes import DayField, OnceField
from production.batches.forms import DoneOnField, GramsField
from production.batches.models import Batch
from production.leftovers.actions.rebatch import LEAST_CURE_DAYS, MOST_CURE_DAYS
from production.stock.models import Lot
from soapshop.units import format_grams

ADDITIONS = 3
MOST_BARS, MOST_MOLDS = 10_000, 50
NOTHING_CHOSEN = "Type the grams of at least one of them."


def count_field(label: str, unit: str, most: int, **given: Any) -> forms.IntegerField:
    attrs = {"inputmode": "numeric", "autocomplete": "off", "data-unit": unit, "class": "narrow"}
    sentences = {
        "required": "How many?",
        "invalid": "Type a whole number.",
        "min_value": "At least 1.",
        "max_value": f"At most {most}.",
    }
    return forms.IntegerField(
        label=label, min_value=1, max_value=most, widget=forms.TextInput(attrs=attrs), error_messages=sentences, **given
    )


class ScrapsForm(forms.Form):
    grams = GramsField(label="The scale shows", error_messages={"required": "What do they weigh?"})
    what = forms.CharField(max_length=200, label="What they are", initial="Ends and trims", required=False)
    typed_once = OnceField()

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"] = DoneOnField(today=today, label="Weighed on")


class ReworkForm(forms.Form):
    grams = GramsField(label="All of it weighs", error_messages={"required": "What does it weigh?"})
    words = forms.CharField(
        max_length=300,
        label="Why, and what is to be put right",
        error_messages={"required": "Say in a sentence why it is made over."},
    )


class ShapeForm(forms.Form):
    """Which mold is filled, and how many bars that gives."""

    mold = forms.ModelChoiceField(
        Mold.objects.none(), empty_label="Choose a mold", error_messages={"required": "Choose the mold."}
    )
    mold_count = count_field("How many of it", "molds", MOST_MOLDS, initial=1)
    bars = count_field("Bars it gives", "bars", MOST_BARS)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["mold"].queryset = Mold.objects.order_by("name")  # type: ignore[attr-defined]


class PourOnForm(ShapeForm):
    """Batter of one pot or of several into one mold: a box of grams for each pot that has batter."""

    def __init__(self, *args: Any, pots: Iterable[Batch], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.pots = list(pots)
        boxes: dict[str, forms.Field] = {
            f"pot_{pot.pk}": GramsField(required=False, label=f"Of {pot.number}, {pot.design.name}")
            for pot in self.pots
        }
        self.fields = {**boxes, **self.fields}

    def clean(self) -> dict[str, Any] | None:
        given = super().clean()
        if not self.errors and not self.grams_by_batch:
            raise forms.ValidationError(NOTHING_CHOSEN)
        return given

    @property
    def grams_by_batch(self) -> dict[str, Decimal]:
        typed = {pot.number: self.cleaned_data.get(f"pot_{pot.pk}") for pot in self.pots}
        return {number: grams for number, grams in typed.items() if grams}


def _parents(lot: Lot) -> str:
    batches = [origin.from_batch for origin in lot.origins.all() if origin.from_batch is not None]
    return "".join(f", {batch.design.name} of {batch.number}" for batch in batches)


class RebatchForm(ShapeForm):
    """Lots of own soap, what goes in with them, and what it becomes."""

    design = forms.ModelChoiceField(
        Design.objects.none(), empty_label="Choose a design", error_messages={"required": "What is it sold as?"}
    )
    cure_days = count_field("Cure", "days", MOST_CURE_DAYS)
    least_cure_days = count_field("At least", "days", MOST_CURE_DAYS, initial=14)
    pour_on = DayField(label="Melt it down on", error_messages={"required": "On which day?"})

    def __init__(self, *args: Any, lots: Iterable[Lot], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lots = list(lots)
        self.fields["design"].queryset = Design.objects.order_by("name")  # type: ignore[attr-defined]
        soaps: dict[str, forms.Field] = {
            f"lot_{lot.pk}": GramsField(
                required=False, label=f"Of {lot.code}", help_text=f"{format_grams(lot.grams_left)} left{_parents(lot)}"
            )
            for lot in self.lots
        }
        additions: dict[str, forms.Field] = {}
        for place in range(ADDITIONS):
            box = forms.TextInput(attrs={"list": "materials", "autocomplete": "off"})
            additions[f"material_{place}"] = forms.CharField(
                max_length=120, required=False, label="Goes in with it", widget=box
            )
            additions[f"grams_{place}"] = GramsField(required=False, label="So much of it")
        self.fields = {**soaps, **additions, **self.fields}

    def clean(self) -> dict[str, Any] | None:
        given = super().clean()
        for place in range(ADDITIONS):
            self._clean_addition(place)
        if not self.errors and not self.grams_by_lot:
            raise forms.ValidationError(NOTHING_CHOSEN)
        least, usual = self.cleaned_data.get("least_cure_days"), self.cleaned_data.get("cure_days")
        if least and usual and not LEAST_CURE_DAYS <= least <= usual:
            self.add_error("least_cure_days", f"At least {LEAST_CURE_DAYS} days, and no more than its usual cure.")
        return given

    def _clean_addition(self, place: int) -> None:
        name = " ".join(self.cleaned_data.get(f"material_{place}", "").split())
        grams = self.cleaned_data.get(f"grams_{place}")
        if not name and not grams:
            return
        found = Material.objects.filter(name__iexact=name).first() if name else None
        if found is None:
            self.add_error(f"material_{place}", "That is not among your materials. Choose it from the list.")
        elif not grams and f"grams_{place}" not in self.errors:
            self.add_error(f"grams_{place}", f"How much {found.name} goes in?")
        self.cleaned_data[f"material_{place}"] = found

    @property
    def grams_by_lot(self) -> dict[str, Decimal]:
        typed = {lot.code: self.cleaned_data.get(f"lot_{lot.pk}") for lot in self.lots}
        return {code: grams for code, grams in typed.items() if grams}

    @property
    def additions(self) -> dict[int, Decimal]:
        found: dict[int, Decimal] = {}
        for place in range(ADDITIONS):
            material, grams = self.cleaned_data.get(f"material_{place}"), self.cleaned_data.get(f"grams_{place}")
            if material and grams:
                found[material.pk] = found.get(material.pk, Decimal(0)) + grams
        return found

    @property
    def soaps(self) -> list[forms.BoundField]:
        return [self[f"lot_{lot.pk}"] for lot in self.lots]

    @property
    def addition_rows(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        return [(self[f"material_{place}"], self[f"grams_{place}"]) for place in range(ADDITIONS)]
