"""What goes into one jug, as boxes: its colors, the oil that wets them, what is stirred in beside them, its pour."""

from decimal import Decimal
from typing import Any

from django import forms

from formulas.color_records import colors_of
from formulas.design_drafts import ColorDraft
from formulas.forms.boxes import count_box, decimal_box, material_named
from formulas.forms.colors import color_named
from formulas.models import ColorBlend, Material, Portion
from formulas.models.blends import hex_color
from soapshop.units import plain

USUAL_COLORS, MOST_COLORS = 2, 6
MOST_DOSE_PERCENT = Decimal(10)
MOST_WETS = Decimal(20)  # grams of oil a gram of color; 2 to 3 spoons of oil a spoon of mica is common practice
MOST_STIRRED_PERCENT = Decimal(50)  # of the batter in the jug; beyond that it is another soap
# What belongs to the jug and not to the place it is poured into.
JUG_FIELDS = (
    "name",
    "tone",
    "is_scented",
    "trace",
    "pour_order",
    "accent",
    "carrier",
    "wets",
    "is_carrier_extra",
    "wet",
    "wet_percent",
    "note",
    "colors",
)
# The boxes that stand folded away until they are wanted.
FOLDED = ("pour_order", "trace", "accent", "note", "carrier", "wets", "wet", "wet_percent")


class JugForm(forms.Form):
    name = forms.CharField(max_length=60, required=False, label="Called")
    tone = forms.CharField(
        required=False,
        label="Drawn in",
        validators=[hex_color],
        widget=forms.TextInput(attrs={"type": "color"}),
    )
    pour_order = forms.IntegerField(
        min_value=1, max_value=99, required=False, label="Poured as number", widget=count_box()
    )
    trace = forms.ChoiceField(choices=Portion.Trace.choices, required=False, label="Trace", initial="light")
    is_scented = forms.BooleanField(required=False, label="Scented", initial=True)
    accent = forms.DecimalField(
        min_value=0,
        max_value=100,
        max_digits=5,
        decimal_places=2,
        required=False,
        label="Made larger by",
        widget=decimal_box("%"),
    )
    carrier = forms.CharField(
        max_length=120,
        required=False,
        label="Colors wetted with",
        widget=forms.TextInput(attrs={"list": "oils", "autocomplete": "off"}),
    )
    wets = forms.DecimalField(
        max_digits=4, decimal_places=2, required=False, label="Oil for a gram of color", widget=decimal_box("g")
    )
    is_carrier_extra = forms.BooleanField(required=False, label="That oil comes on top, not out of the batch's oils")
    wet = forms.CharField(
        max_length=120,
        required=False,
        label="Stirred in: a liquid",
        widget=forms.TextInput(attrs={"list": "liquids", "autocomplete": "off"}),
    )
    wet_percent = forms.DecimalField(
        max_digits=5, decimal_places=2, required=False, label="On top of the jug's batter", widget=decimal_box("%")
    )
    note = forms.CharField(max_length=200, required=False, label="Note")

    def __init__(self, *args: Any, colors: int = USUAL_COLORS, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.colors = colors
        for number in range(colors):
            self.fields[f"color_{number}"] = forms.CharField(
                max_length=120,
                required=False,
                label=f"Color {number + 1}",
                widget=forms.TextInput(attrs={"list": "colorants", "autocomplete": "off"}),
            )
            self.fields[f"dose_{number}"] = forms.DecimalField(
                max_digits=7, decimal_places=4, required=False, label="Dose", widget=decimal_box("%")
            )
        self.fields["pour_order"].error_messages["min_value"] = "Pouring starts with number 1."

    def color_boxes(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        return [(self[f"color_{number}"], self[f"dose_{number}"]) for number in range(self.colors)]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        cleaned["colors"] = tuple(color for number in range(self.colors) for color in self._color(cleaned, number))
        materials = [color.material.pk for color in cleaned["colors"]]
        if len(materials) > len(set(materials)):
            self.add_error("color_0", "A color stands there twice. Add the doses up in one line.")
        self._clean_carrier(cleaned)
        self._clean_wet(cleaned)
        return cleaned

    def _clean_carrier(self, cleaned: dict[str, Any]) -> None:
        name, wets = " ".join(cleaned.get("carrier", "").split()), cleaned.get("wets")
        cleaned["carrier"] = None
        if wets is not None and not 0 <= wets <= MOST_WETS:
            self.add_error("wets", "A gram of color takes from 0 to 20 g of oil. Correct the figure.")
        if not name:
            if wets:
                self.add_error("carrier", "Which oil? Name it, or clear its grams.")
            return
        if not wets and "wets" not in self.errors:
            self.add_error("wets", "How much oil for a gram of color? Type such as 2.")
        try:
            cleaned["carrier"] = material_named(name, kinds=(Material.Kind.FAT,))
        except forms.ValidationError as refusal:
            self.add_error("carrier", refusal)

    def _clean_wet(self, cleaned: dict[str, Any]) -> None:
        name, percent = " ".join(cleaned.get("wet", "").split()), cleaned.get("wet_percent")
        cleaned["wet"] = None
        if percent is not None and not 0 <= percent <= MOST_STIRRED_PERCENT:
            self.add_error("wet_percent", "Stirred in is from 0 to 50 percent of the jug's batter. Correct the figure.")
        if not name:
            if percent:
                self.add_error("wet", "Which liquid? Name it, or clear its percent.")
            return
        if not percent and "wet_percent" not in self.errors:
            self.add_error("wet_percent", "How much of it? Type a percent of the jug's batter, such as 5.")
        try:
            cleaned["wet"] = material_named(name, kinds=(Material.Kind.LIQUID,))
        except forms.ValidationError as refusal:
            self.add_error("wet", refusal)

    def _color(self, cleaned: dict[str, Any], number: int) -> tuple[ColorDraft, ...]:
        """Return the colorants of one box: one of the book, or those of a blend by their parts."""
        color_box, dose_box = f"color_{number}", f"dose_{number}"
        name, dose = " ".join(cleaned.get(color_box, "").split()), cleaned.get(dose_box)
        if not name and dose is None:
            return ()
        found: Material | ColorBlend | None = None
        try:
            found = color_named(name) if name else None
        except forms.ValidationError as refusal:
            self.add_error(color_box, refusal)
        if not name:
            self.add_error(color_box, "Which color? Name it, or clear its dose.")
        if dose is None and dose_box not in self.errors:
            usual = "" if found is None or found.dose_high_percent is None else _usual_words(found)
            self.add_error(dose_box, f"How much of it?{usual}")
        elif dose is not None and not 0 < dose <= MOST_DOSE_PERCENT:
            self.add_error(dose_box, "A color dose lies above 0 and at most 10 percent of the oils in the jug.")
            return ()
        return () if found is None or dose is None else colors_of(found, dose)


def _usual_words(material: Material | ColorBlend) -> str:
    low, high = (plain(dose or Decimal(0)) for dose in (material.dose_low_percent, material.dose_high_percent))
    return f" Usual for {material.name}: {low:f} to {high:f} %."
