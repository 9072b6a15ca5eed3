"""One cell of a layer as a form: the place a jug is poured into, beside what goes into the jug."""

from decimal import Decimal
from string import ascii_uppercase
from typing import Any

from django import forms

from formulas.design_drafts import CellDraft
from formulas.forms.boxes import decimal_box, row_formset, speak_plainly
from formulas.forms.cell_rows import STARTING_TONES
from formulas.forms.jugs import FOLDED, JUG_FIELDS, JugForm
from formulas.models import Portion


class CellForm(JugForm):
    """A cell with no letter, name or color is left out. A letter alone pours a jug named before once more."""

    letter = forms.CharField(max_length=2, required=False, label="Jug")
    width = forms.DecimalField(
        max_digits=7, decimal_places=3, required=False, label="Width, parts", widget=decimal_box(), initial=1
    )
    lies = forms.ChoiceField(choices=Portion.Lies.choices, required=False, label="Poured as", initial="cell")
    share = forms.DecimalField(
        max_digits=5, decimal_places=2, required=False, label="Swirl or drops take", widget=decimal_box("%")
    )
    is_out = forms.BooleanField(required=False, label="Take this jug out")
    is_fresh = forms.BooleanField(required=False, widget=forms.HiddenInput)  # added on this page, never kept before

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["letter"].widget.attrs.update({"class": "narrow", "autocomplete": "off"})
        speak_plainly(self)

    def place_boxes(self) -> list[forms.BoundField]:
        return [self[name] for name in ("letter", "name", "width", "tone")]

    def jug_boxes(self) -> list[forms.BoundField]:
        return [self[name] for name in ("lies", "share", *FOLDED)]

    @property
    def is_detailed(self) -> bool:
        """Whether the boxes that are usually folded away hold a fault, or something to be seen at once."""
        is_faulty = self.is_bound and any(name in self.errors for name in (*FOLDED, "lies", "share"))
        seen = ("share", "accent", "carrier", "wets", "wet", "wet_percent", "note")
        return is_faulty or any(self[name].value() not in (None, "") for name in seen)

    def clean_letter(self) -> str:
        return self.cleaned_data["letter"].strip().upper()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        width = cleaned.get("width")
        if width is not None and width <= 0:
            self.add_error("width", "A cell is wider than 0. Type its parts, such as 1.")
        self._clean_share(cleaned)
        return cleaned

    def _clean_share(self, cleaned: dict[str, Any]) -> None:
        share, is_cell = cleaned.get("share"), cleaned.get("lies") in ("", Portion.Lies.CELL)
        if "share" in self.errors or "lies" in self.errors:
            return
        if is_cell and share:
            self.add_error("share", "A cell goes by its width. Choose a swirl or drops, or clear the percent.")
        elif not is_cell and (share is None or not 0 < share < 100):
            self.add_error("share", "How much of it? Type a percent above 0 and below 100, such as 10.")

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
            wet_liquid=cleaned.get("wet"),
            wet_percent=(cleaned.get("wet_percent") or Decimal(0)) if cleaned.get("wet") else Decimal(0),
            note=cleaned.get("note", ""),
            colors=cleaned.get("colors", ()),
        )


CellFormSet = row_formset(CellForm, extra=0, max_num=12, absolute_max=12)
