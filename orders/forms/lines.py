"""The lines of an order as typed."""

from decimal import Decimal
from typing import Any

from django import forms

from formulas.forms.boxes import decimal_box
from formulas.models import Design, Part
from orders.actions import LineWish
from orders.forms.boxes import OnceField
from orders.models import OrderLine

MOST_BARS = 5000
COUNT_SENTENCES = {
    "required": "How many bars?",
    "invalid": "Type a whole number of bars, such as 36.",
    "min_value": "At least 1 bar.",
    "max_value": "At most 5,000 bars a line. Split a larger order into lines.",
}


class LineForm(forms.Form):
    """One line of a new order; its parts and price are set on the line's own page."""

    design = forms.ModelChoiceField(
        Design.objects.filter(is_shelved=False), required=False, empty_label="Choose a design"
    )
    bars = forms.IntegerField(
        min_value=1, max_value=MOST_BARS, required=False, widget=decimal_box("bars"), error_messages=COUNT_SENTENCES
    )
    wording = forms.CharField(max_length=120, required=False, label="Personal wording")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        design, bars = cleaned.get("design"), cleaned.get("bars")
        if design and bars is None and "bars" not in self.errors:
            self.add_error("bars", "How many bars?")
        if not design and (bars is not None or cleaned.get("wording")) and "design" not in self.errors:
            self.add_error("design", "Which design?")
        return cleaned

    @property
    def wish(self) -> LineWish | None:
        design = self.cleaned_data.get("design")
        if design is None or self.cleaned_data.get("bars") is None:
            return None
        return LineWish(design, self.cleaned_data["bars"], wording=self.cleaned_data["wording"])


LineFormSet = forms.formset_factory(LineForm, extra=3, max_num=20, absolute_max=30)


class OneLineForm(forms.Form):
    """One line in full, with a box for each part the design can carry."""

    bars = forms.IntegerField(
        min_value=1, max_value=MOST_BARS, widget=decimal_box("bars"), error_messages=COUNT_SENTENCES
    )
    wording = forms.CharField(max_length=120, required=False, label="Personal wording")
    packaging = forms.CharField(max_length=120, required=False)
    price_per_bar = forms.DecimalField(
        min_value=Decimal(0),
        max_value=Decimal(10_000),
        decimal_places=2,
        required=False,
        label="Price a bar",
        help_text="May stay empty until it is settled.",
        widget=decimal_box(),
        error_messages={"invalid": "Type an amount such as 6.50.", "min_value": "A price is 0 or more."},
    )
    typed_once = OnceField()
    seen_saves = forms.IntegerField(min_value=0, widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, design: Design, line: OrderLine | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.design = design
        self.parts: list[Part] = []
        self._add_part_boxes(line)
        if line is not None:
            for field in ("bars", "wording", "packaging", "price_per_bar"):
                self.initial.setdefault(field, getattr(line, field))
            self.initial["seen_saves"] = line.order.saves

    def _add_part_boxes(self, line: OrderLine | None) -> None:
        on_bars = {} if line is None else {finish.part_id: finish.bars for finish in line.finishes.all()}
        for carried in self.design.parts.all():
            part = carried.part
            self.parts.append(part)
            on_every = carried.on_every_bar and line is None
            usual = "usually on every bar" if carried.on_every_bar else "usually on some bars"
            empty = "on every bar" if on_every else "on none"
            self.fields[f"part_{part.pk}"] = forms.IntegerField(
                min_value=0,
                max_value=MOST_BARS,
                required=False,
                label=f"{part.name} on",
                help_text=f"{part.get_kind_display()}, {usual} of this design. Left empty: {empty}.",
                widget=decimal_box("bars"),
                error_messages=COUNT_SENTENCES | {"min_value": "0 bars or more."},
                initial=on_bars.get(part.pk),
            )
        self._on_every = {item.part_id for item in self.design.parts.all() if item.on_every_bar and line is None}

    @property
    def wish(self) -> LineWish:
        given = self.cleaned_data
        return LineWish(
            design=self.design,
            bars=given["bars"],
            wording=given["wording"],
            packaging=given["packaging"],
            price_per_bar=given["price_per_bar"],
            part_bars={part.pk: self._bars_with(part.pk) for part in self.parts},
        )

    def _bars_with(self, part_id: int) -> int:
        """A box left empty on a new line means what the design usually does; on a line in the book it means none."""
        typed = self.cleaned_data[f"part_{part_id}"]
        if typed is None and part_id in self._on_every:
            return self.cleaned_data["bars"]
        return typed or 0
