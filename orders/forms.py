"""The shape of an order as it is typed."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

from django import forms

from formulas.models import Design, Material, Part
from orders.actions import LineWish
from orders.models import Customer, Order, OrderLine
from soapshop.models import Workshop

MOST_BARS = 5000
WHOLE_WANTED = {"invalid": "Type a whole number of bars, such as 36."}


def number_box(unit: str = "") -> forms.TextInput:
    attrs = {"inputmode": "decimal", "class": "narrow", "autocomplete": "off"}
    return forms.TextInput(attrs=attrs | ({"data-unit": unit} if unit else {}))


def day_box() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class CustomerForm(forms.ModelForm):
    avoid_groups = forms.CharField(
        required=False,
        label="Groups to avoid",
        help_text="With commas between them, such as palm, nut, animal, dairy, scent.",
    )

    class Meta:
        model = Customer
        fields = ("name", "email", "phone", "address", "avoid_groups", "avoid_materials", "note")
        widgets = {
            "address": forms.Textarea(attrs={"rows": 3}),
            "note": forms.Textarea(attrs={"rows": 2}),
            "avoid_materials": forms.SelectMultiple(attrs={"size": 6}),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["avoid_materials"].queryset = Material.objects.in_use().exclude(kind="packaging")
        self.initial["avoid_groups"] = ", ".join(self.instance.avoid_groups or [])

    def clean_avoid_groups(self) -> list[str]:
        typed = self.cleaned_data["avoid_groups"].split(",")
        return list(dict.fromkeys(group.strip().lower() for group in typed if group.strip()))


class TermsForm(forms.ModelForm):
    """Dates and hand-over. Without a needed-by day the event date less the usual days in hand stands."""

    needed_by = forms.DateField(
        required=False,
        widget=day_box(),
        label="Needed in hand by",
        help_text="Left empty, it is counted back from the event.",
    )

    class Meta:
        model = Order
        fields = ("occasion", "event_date", "needed_by", "hand_over", "travel_days", "note")
        widgets = {
            "event_date": day_box(),
            "travel_days": number_box("days"),
            "note": forms.Textarea(attrs={"rows": 2}),
        }

    def __init__(self, *args: Any, today: date, workshop: Workshop, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.workshop = workshop
        self.fields["travel_days"].error_messages["invalid"] = "Type a whole number of days, such as 3."

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        needed, event = cleaned.get("needed_by"), cleaned.get("event_date")
        if "needed_by" in self.errors or "event_date" in self.errors:
            return cleaned
        if needed is None and event is None:
            self.add_error("needed_by", "Give the day the bars are needed, or the day of the event.")
            return cleaned
        if needed is None and event is not None:
            needed = event - timedelta(days=self.workshop.in_hand_days)
            cleaned["needed_by"] = self.instance.needed_by = needed
        if needed is not None and needed < self.today and self.instance.pk is None:
            self.add_error(
                "needed_by", f"{needed:%b} {needed.day}, {needed.year} has passed. Give a day still to come."
            )
        if event is not None and needed is not None and event < needed:
            self.add_error("event_date", "The event lies before the day the bars are needed. Check both days.")
        return cleaned

    @property
    def terms(self) -> dict[str, Any]:
        return {field: self.cleaned_data[field] for field in self.Meta.fields}


class NewOrderForm(TermsForm):
    customer = forms.ModelChoiceField(
        Customer.objects.all(), required=False, empty_label="New customer, named below", label="Customer"
    )
    new_customer = forms.CharField(max_length=120, required=False, label="New customer's name")
    new_email = forms.EmailField(required=False, label="New customer's e-mail")
    typed_once = forms.UUIDField(widget=forms.HiddenInput, required=False)

    field_order = (
        "customer",
        "new_customer",
        "new_email",
        "occasion",
        "event_date",
        "needed_by",
        "hand_over",
        "travel_days",
        "note",
        "typed_once",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["typed_once"].initial = uuid4

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not cleaned.get("customer") and not cleaned.get("new_customer", "").strip():
            self.add_error("customer", "Choose the customer, or name a new one below.")
        return cleaned


class LineForm(forms.Form):
    """One line of a new order; its parts and price are set on the line's own page."""

    design = forms.ModelChoiceField(
        Design.objects.filter(is_shelved=False), required=False, empty_label="Choose a design"
    )
    bars = forms.IntegerField(
        min_value=1,
        max_value=MOST_BARS,
        required=False,
        widget=number_box("bars"),
        error_messages={
            **WHOLE_WANTED,
            "min_value": "At least 1 bar.",
            "max_value": "At most 5,000 bars a line. Split a larger order into lines.",
        },
    )
    wording = forms.CharField(max_length=120, required=False, label="Personal wording")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        design, bars = cleaned.get("design"), cleaned.get("bars")
        if design and bars is None and "bars" not in self.errors:
            self.add_error("bars", "How many bars?")
        if bars is not None and not design and "design" not in self.errors:
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

    bars = forms.IntegerField(min_value=1, max_value=MOST_BARS, widget=number_box("bars"), error_messages=WHOLE_WANTED)
    wording = forms.CharField(max_length=120, required=False, label="Personal wording")
    packaging = forms.CharField(max_length=120, required=False)
    price_per_bar = forms.DecimalField(
        min_value=Decimal(0),
        max_value=Decimal(10_000),
        decimal_places=2,
        required=False,
        label="Price a bar",
        widget=number_box(),
        error_messages={"invalid": "Type an amount such as 6.50."},
    )

    def __init__(self, *args: Any, design: Design, line: OrderLine | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.design = design
        self.parts: list[Part] = []
        on_bars = {} if line is None else {finish.part_id: finish.bars for finish in line.finishes.all()}
        for carried in design.parts.all():
            self.parts.append(carried.part)
            where = "on every bar" if carried.on_every_bar else "on some bars"
            self.fields[f"part_{carried.part_id}"] = forms.IntegerField(
                min_value=0,
                max_value=MOST_BARS,
                required=False,
                label=f"{carried.part.name} on",
                help_text=f"{carried.part.get_kind_display()}, usually {where} of this design. Empty: on none.",
                widget=number_box("bars"),
                error_messages=WHOLE_WANTED,
                initial=on_bars.get(carried.part_id),
            )
        if line is not None:
            for field in ("bars", "wording", "packaging", "price_per_bar"):
                self.initial.setdefault(field, getattr(line, field))

    @property
    def wish(self) -> LineWish:
        given = self.cleaned_data
        return LineWish(
            design=self.design,
            bars=given["bars"],
            wording=given["wording"],
            packaging=given["packaging"],
            price_per_bar=given["price_per_bar"],
            part_bars={part.pk: given[f"part_{part.pk}"] or 0 for part in self.parts},
        )


class ReasonForm(forms.Form):
    reason = forms.CharField(max_length=300, required=False, label="Why?")


class PromiseForm(forms.Form):
    day = forms.DateField(widget=day_box(), label="Promised date")
