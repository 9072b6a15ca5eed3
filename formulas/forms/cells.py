"""One cell of a layer as a form: the jug it is poured from, its width, its colors."""

from collections.abc import Iterable
from decimal import Decimal
from string import ascii_uppercase
from typing import Any

from django import forms
from django.http import QueryDict

from formulas.color_records import color_boxes_of, colors_of
from formulas.design_drafts import CellDraft, ColorDraft
from formulas.forms.boxes import count_box, decimal_box, material_named, row_formset, speak_plainly
from formulas.forms.colors import color_named
from formulas.models import ColorBlend, Material, Portion
from formulas.models.blends import hex_color
from soapshop.units import plain

USUAL_COLORS, MOST_COLORS = 2, 6
MOST_DOSE_PERCENT = Decimal(10)
# Soft tones to begin a drawing with, so that new jugs can be told apart.
STARTING_TONES = ("#e8dfc8", "#b9c4a3", "#c98f6b", "#7f93a8", "#d9b8bd", "#6d5a50", "#d6b24c", "#94785f")
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
    "note",
    "colors",
)
MOST_WETS = Decimal(20)  # grams of oil a gram of color; 2 to 3 spoons of oil a spoon of mica is common practice


FOLDED = ("pour_order", "trace", "accent", "note", "carrier", "wets")


class CellForm(forms.Form):
    """A cell with no letter, name or color is left out. A letter alone pours a jug named before once more."""

    letter = forms.CharField(max_length=2, required=False, label="Jug")
    name = forms.CharField(max_length=60, required=False, label="Called")
    width = forms.DecimalField(
        max_digits=7, decimal_places=3, required=False, label="Width, parts", widget=decimal_box(), initial=1
    )
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
    lies = forms.ChoiceField(choices=Portion.Lies.choices, required=False, label="Poured as", initial="cell")
    share = forms.DecimalField(
        max_digits=5, decimal_places=2, required=False, label="Swirl or drops take", widget=decimal_box("%")
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
    note = forms.CharField(max_length=200, required=False, label="Note")
    is_out = forms.BooleanField(required=False, label="Take this jug out")
    is_fresh = forms.BooleanField(required=False, widget=forms.HiddenInput)  # added on this page, never kept before

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
        self.fields["letter"].widget.attrs.update({"class": "narrow", "autocomplete": "off"})
        self.fields["pour_order"].error_messages["min_value"] = "Pouring starts with number 1."
        speak_plainly(self)

    def color_boxes(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        return [(self[f"color_{number}"], self[f"dose_{number}"]) for number in range(self.colors)]

    def place_boxes(self) -> list[forms.BoundField]:
        return [self[name] for name in ("letter", "name", "width", "tone")]

    def jug_boxes(self) -> list[forms.BoundField]:
        return [self[name] for name in ("lies", "share", *FOLDED)]

    @property
    def is_detailed(self) -> bool:
        """Whether the boxes that are usually folded away hold a fault, or something to be seen at once."""
        is_faulty = self.is_bound and any(name in self.errors for name in (*FOLDED, "lies", "share"))
        seen = ("share", "accent", "carrier", "wets", "note")
        return is_faulty or any(self[name].value() not in (None, "") for name in seen)

    def clean_letter(self) -> str:
        return self.cleaned_data["letter"].strip().upper()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        cleaned["colors"] = tuple(color for number in range(self.colors) for color in self._color(cleaned, number))
        materials = [color.material.pk for color in cleaned["colors"]]
        if len(materials) > len(set(materials)):
            self.add_error("color_0", "A color stands there twice. Add the doses up in one line.")
        width = cleaned.get("width")
        if width is not None and width <= 0:
            self.add_error("width", "A cell is wider than 0. Type its parts, such as 1.")
        self._clean_share(cleaned)
        self._clean_carrier(cleaned)
        return cleaned

    def _clean_share(self, cleaned: dict[str, Any]) -> None:
        share, is_cell = cleaned.get("share"), cleaned.get("lies") in ("", Portion.Lies.CELL)
        if "share" in self.errors or "lies" in self.errors:
            return
        if is_cell and share:
            self.add_error("share", "A cell goes by its width. Choose a swirl or drops, or clear the percent.")
        elif not is_cell and (share is None or not 0 < share < 100):
            self.add_error("share", "How much of it? Type a percent above 0 and below 100, such as 10.")

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

    @property
    def is_filled(self) -> bool:
        cleaned = getattr(self, "cleaned_data", {})
        if cleaned.get("is_out"):
            return False
        boxes = ("letter", "name", *(f"color_{number}" for number in range(self.colors)))
        return any(str(self.data.get(self.add_prefix(box), "")).strip() for box in boxes)

    def settle(self, jugs: "dict[str, CellForm]", *, layer_number: int) -> None:
        """Give the jug its letter; a letter known already, with no name beside it, is the same jug once more."""
        if not self.is_filled:
            return
        cleaned = self.cleaned_data
        letter = cleaned.get("letter") or next((sign for sign in ascii_uppercase if sign not in jugs), "Z")
        cleaned["letter"] = letter
        first = jugs.setdefault(letter, self)
        if first is not self and not cleaned.get("name"):
            cleaned.update({field: first.cleaned_data.get(field) for field in JUG_FIELDS})
        elif not cleaned.get("name") and "name" not in self.errors:
            self.add_error("name", "What is in this jug? Name it, such as white or plain.")
        if cleaned.get("pour_order") is None:
            cleaned["pour_order"] = layer_number
        shades = [color.material.color_hex for color in cleaned.get("colors", ()) if color.material.color_hex]
        if shades and cleaned.get("is_fresh") and cleaned.get("tone") in STARTING_TONES:
            cleaned["tone"] = shades[0]

    @property
    def draft(self) -> CellDraft:
        cleaned = self.cleaned_data
        return CellDraft(
            letter=cleaned["letter"],
            name=cleaned.get("name", ""),
            width_share=cleaned.get("width") or Decimal(1),
            color_hex=cleaned.get("tone") or STARTING_TONES[0],
            is_scented=cleaned["is_scented"],
            trace=cleaned.get("trace") or Portion.Trace.LIGHT,
            pour_order=cleaned.get("pour_order") or 1,
            accent_percent=cleaned.get("accent") or Decimal(0),
            lies=cleaned.get("lies") or Portion.Lies.CELL,
            share_percent=cleaned.get("share") or Decimal(0),
            carrier_oil=cleaned.get("carrier"),
            carrier_per_gram=cleaned.get("wets") or Decimal(0),
            is_carrier_extra=bool(cleaned.get("carrier")) and cleaned["is_carrier_extra"],
            note=cleaned.get("note", ""),
            colors=cleaned.get("colors", ()),
        )


def _usual_words(material: Material | ColorBlend) -> str:
    low, high = (plain(dose or Decimal(0)) for dose in (material.dose_low_percent, material.dose_high_percent))
    return f" Usual for {material.name}: {low:f} to {high:f} %."


CellFormSet = row_formset(CellForm, extra=0, max_num=12, absolute_max=12)


def fresh_cell(number: int) -> dict[str, Any]:
    """Return what a new cell begins with; ``number`` counts the cells of the design so far."""
    tone = STARTING_TONES[number % len(STARTING_TONES)]
    return {"width": 1, "tone": tone, "is_scented": True, "trace": "light", "is_fresh": True}


def type_fresh_cell(typed: QueryDict, prefix: str, place: int, number: int) -> None:
    """Write the beginning of a new cell into what was typed, as if the page had shown it."""
    for box, begins in fresh_cell(number).items():
        typed[f"{prefix}-{place}-{box}"] = "on" if begins is True else str(begins)


def cell_initial(portions: Iterable[Portion], shown: set[str]) -> list[dict[str, Any]]:
    """Return the boxes of the cells of a saved layer; a jug shown already comes back as its letter and width."""
    rows = []
    for portion in portions:
        if portion.letter in shown:
            rows.append(
                {"letter": portion.letter, "width": plain(portion.width_share), "tone": portion.color_hex}
                | {"is_scented": portion.is_scented, "trace": portion.trace}
                | _place(portion)
            )
            continue
        shown.add(portion.letter)
        row = {
            "letter": portion.letter,
            "name": portion.name,
            "width": plain(portion.width_share),
            "tone": portion.color_hex,
            "pour_order": portion.pour_order,
            "trace": portion.trace,
            "is_scented": portion.is_scented,
            "accent": plain(portion.accent_percent) if portion.accent_percent else None,
            "note": portion.note,
            "carrier": portion.carrier_oil.name if portion.carrier_oil else "",
            "wets": plain(portion.carrier_per_gram) if portion.carrier_oil else None,
            "is_carrier_extra": portion.is_carrier_extra,
        } | _place(portion)
        for number, (name, percent) in enumerate(color_boxes_of(portion)):
            row[f"color_{number}"] = name
            row[f"dose_{number}"] = plain(percent)
        rows.append(row)
    return rows


def _place(portion: Portion) -> dict[str, Any]:
    return {"lies": portion.lies, "share": plain(portion.share_percent) if portion.share_percent else None}
