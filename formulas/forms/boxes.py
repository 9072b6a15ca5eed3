"""Boxes that several forms share: numbers with their unit, lengths in mm or inches, and materials by name."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms
from django.http import QueryDict

from formulas.models import Material
from soapshop.quantity import QuantityRefused, length_mm, mass_grams
from soapshop.units import plain

NUMBER_WANTED = {
    "invalid": "That is not a number. Type one such as 12.5.",
    "max_digits": "That number has too many digits. Check the decimal point.",
    "max_decimal_places": "That number has too many digits behind the point. Round it.",
    "max_whole_digits": "That number is far too large. Check the decimal point.",
}
WHOLE_WANTED = {"invalid": "That is not a whole number. Type one such as 12."}


def row_formset(row: type[forms.Form], **options: Any) -> type[forms.BaseFormSet]:
    """Return a list of rows that a page can lengthen; far more rows than a person types are not read."""
    return forms.formset_factory(row, **{"extra": 2, "max_num": 40, "absolute_max": 60, **options})


def decimal_box(unit: str = "") -> forms.TextInput:
    """Return a short box for a number, with its unit beside it. What was typed stays, number or not."""
    attrs = {"inputmode": "decimal", "class": "narrow", "autocomplete": "off"}
    return forms.TextInput(attrs=attrs | ({"data-unit": unit} if unit else {}))


def count_box(unit: str = "") -> forms.TextInput:
    attrs = {"inputmode": "numeric", "class": "narrow", "autocomplete": "off"}
    return forms.TextInput(attrs=attrs | ({"data-unit": unit} if unit else {}))


def speak_plainly(form: forms.BaseForm) -> None:
    """Give the boxes sentences of our own, and write kept numbers without idle zeros."""
    for name, field in form.fields.items():
        is_whole = isinstance(field, forms.IntegerField) and not isinstance(field, forms.DecimalField)
        if isinstance(field, forms.IntegerField):
            field.error_messages |= WHOLE_WANTED if is_whole else NUMBER_WANTED
        if isinstance(field, forms.ChoiceField | forms.ModelChoiceField):
            field.error_messages["required"] = "Nothing is chosen yet. Choose one."
            field.error_messages["invalid_choice"] = "That is not among the choices. Choose one of the list."
        elif field.error_messages.get("required") == forms.Field.default_error_messages["required"]:
            example = "a number such as 12" if isinstance(field, forms.IntegerField) else "it"
            field.error_messages["required"] = f"This is still empty. Type {example}."
        initial = form.initial.get(name)
        if isinstance(initial, Decimal):
            form.initial[name] = plain(initial)


def with_more_rows(typed: QueryDict, *prefixes: str, by: int = 2, most: int = 40) -> QueryDict:
    """Return what was typed with more empty rows in these lists."""
    grown = typed.copy()
    for prefix in prefixes:
        key = f"{prefix}-TOTAL_FORMS"
        total = grown.get(key, "")
        if total.isdecimal() and len(total) < 5:
            grown[key] = str(min(int(total) + by, max(most, int(total))))
    return grown


class LengthField(forms.CharField):
    """A length typed in mm or inches ("254 mm", "10 in"); hands on millimeters to the hundredth."""

    def __init__(self, **kwargs: Any) -> None:
        attrs = {"class": "narrow", "autocomplete": "off", "placeholder": "254 mm or 10 in"}
        super().__init__(widget=forms.TextInput(attrs=attrs), max_length=60, **kwargs)

    def prepare_value(self, value: Any) -> Any:
        return f"{plain(value)} mm" if isinstance(value, Decimal) else value

    def clean(self, value: Any) -> Decimal | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            length = length_mm(text, default_unit="millimeter").quantize(Decimal("0.01"))
        except QuantityRefused as refusal:
            raise forms.ValidationError(str(refusal)) from refusal
        if not 0 <= length <= 10_000:
            raise forms.ValidationError("A mold is not longer than 10 m. Check the number and its unit.")
        return length


class MassTextField(forms.CharField):
    """A weight typed in grams, ounces or pounds; hands on grams to the milligram."""

    def __init__(self, **kwargs: Any) -> None:
        attrs = {"class": "narrow", "autocomplete": "off", "placeholder": "12.5 g or 0.5 oz"}
        super().__init__(widget=forms.TextInput(attrs=attrs), max_length=60, **kwargs)

    def prepare_value(self, value: Any) -> Any:
        return f"{plain(value)} g" if isinstance(value, Decimal) else value

    def clean(self, value: Any) -> Decimal | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            return mass_grams(text, default_unit="gram").quantize(Decimal("0.001"))
        except QuantityRefused as refusal:
            raise forms.ValidationError(str(refusal)) from refusal


def material_named(name: str, *, kinds: Iterable[str]) -> Material:
    """Return the material of this name, or say which ones come near it."""
    wanted = tuple(kinds)
    material = Material.objects.filter(name__iexact=name).first()
    if material is None:
        near = Material.objects.of_kind(*wanted).in_use().filter(name__icontains=name.split()[0])[:3]
        hint = ", ".join(item.name for item in near)
        mend = f"Did you mean {hint}?" if hint else "Choose one from the list, or add it under Materials first."
        raise forms.ValidationError(f"“{name}” is not among your materials. {mend}")
    if material.kind not in wanted:
        kind = material.get_kind_display().lower()
        raise forms.ValidationError(f"{material.name} is kept as “{kind}” and does not belong in this list.")
    return material


class MaterialRowForm(forms.Form):
    """One row of a list: a material by name and its percent. A row with both boxes empty is left out."""

    material = forms.CharField(max_length=120, required=False, label="Material")
    percent = forms.DecimalField(
        max_digits=9, decimal_places=4, required=False, label="Percent", error_messages=NUMBER_WANTED
    )
    most_percent = Decimal(100)
    kinds: tuple[str, ...] = ()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        name, percent = " ".join(cleaned.get("material", "").split()), cleaned.get("percent")
        if "material" in self.errors or (not name and percent is None and "percent" not in self.errors):
            return cleaned
        if not name:
            self.add_error("material", "Name the material of this share.")
        else:
            try:
                cleaned["found"] = material_named(name, kinds=self.kinds)
            except forms.ValidationError as refusal:
                self.add_error("material", refusal)
        if percent is None and "percent" not in self.errors:
            self.add_error("percent", "How much of it? Type its percent, or clear the line.")
        elif percent is not None and not Decimal(0) < percent <= self.most_percent:
            self.add_error("percent", f"A share lies above 0 and at most {self.most_percent} percent.")
        return cleaned


def form_faults(*forms_: forms.BaseForm) -> list[str]:
    """Return what is wrong in these forms as sentences, each with the box it is about."""
    faults = []
    for form in forms_:
        for name, errors in form.errors.items():
            label = "" if name == "__all__" else f"{form.fields[name].label or name}: "
            faults += [f"{label}{sentence}" for sentence in errors]
    return faults
