"""A mold as a form: sizes in mm or inches, only those its kind needs."""

from decimal import Decimal
from typing import Any

from django import forms

from formulas.design_records import mold_of
from formulas.forms.boxes import LengthField, count_box, decimal_box, speak_plainly
from formulas.geometry import MoldError, usable_bars
from formulas.models import Mold

Kind = Mold.Kind
SIZES: dict[str, tuple[str, ...]] = {
    Kind.LOAF: ("length_mm", "width_mm", "height_mm", "bar_thickness_mm", "end_trim_mm"),
    Kind.SLAB: ("length_mm", "width_mm", "height_mm", "rows", "columns", "layers"),
    Kind.CAVITY: ("cavity_ml", "cavities"),
    Kind.COLUMN: ("diameter_mm", "length_mm", "bar_thickness_mm", "end_trim_mm"),
}
MAY_BE_EMPTY = ("end_trim_mm", "layers", "usable_bars")
MOST_EMPTY_PERCENT = 90  # a deep box poured as a thin slab


class MoldForm(forms.ModelForm):
    length_mm = LengthField(label="Length, inside")
    width_mm = LengthField(label="Width, inside")
    height_mm = LengthField(label="Height, inside")
    diameter_mm = LengthField(label="Diameter, inside")
    bar_thickness_mm = LengthField(label="A bar is cut", help_text="How thick each bar is cut.")
    end_trim_mm = LengthField(label="Trimmed at each end", required=False)
    filled_to = LengthField(
        label="Or: filled to", required=False, help_text="The height of the batter. It sets what is left empty."
    )

    class Meta:
        model = Mold
        fields = (
            "name",
            "length_mm",
            "width_mm",
            "height_mm",
            "diameter_mm",
            "bar_thickness_mm",
            "rows",
            "columns",
            "layers",
            "cavity_ml",
            "cavities",
            "end_trim_mm",
            "usable_bars",
            "headroom_percent",
            "owned",
            "is_shelved",
        )
        widgets = {
            "rows": count_box(),
            "columns": count_box(),
            "layers": count_box(),
            "cavity_ml": decimal_box("ml"),
            "cavities": count_box(),
            "usable_bars": count_box("bars"),
            "headroom_percent": decimal_box("%"),
            "owned": count_box("molds"),
        }
        labels = {
            "rows": "Rows it is cut into",
            "columns": "Columns it is cut into",
            "cavity_ml": "One cavity holds",
            "layers": "Layers of bars, one over the other",
            "cavities": "Cavities",
            "headroom_percent": "Left empty at the top",
            "is_shelved": "No longer used",
        }
        help_texts = {"usable_bars": "After the ends are off and the usual loss. Empty: reckoned from the sizes."}

    def __init__(self, *args: Any, kind: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = self.instance.kind = kind
        fill = ("headroom_percent",) if kind == Kind.CAVITY else ("headroom_percent", "filled_to")
        # How many there are of a box is said where the box itself stands.
        owned = () if self.instance.box_id else ("owned",)
        shown = ("name", *SIZES[kind], "usable_bars", *fill, *owned, "is_shelved")
        self.fields = {name: self.fields[name] for name in shown}
        for name in SIZES[kind]:
            self.fields[name].required = name not in MAY_BE_EMPTY
        self.fields["usable_bars"].required = False
        if kind == Kind.COLUMN:
            self.fields["length_mm"].label = "Length, inside (upright)"
        speak_plainly(self)
        for name in SIZES[kind]:
            if isinstance(self.fields[name], LengthField):
                self.fields[name].error_messages["required"] = (
                    "Measure the inside and type it, such as 254 mm or 10 in."
                )
                self.initial[name] = getattr(self.instance, name) or None

    def clean_name(self) -> str:
        return " ".join(self.cleaned_data["name"].split())

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if "end_trim_mm" in self.fields and cleaned.get("end_trim_mm") is None and "end_trim_mm" not in self.errors:
            cleaned["end_trim_mm"] = Mold._meta.get_field("end_trim_mm").default
        if "layers" in self.fields and "layers" not in self.errors:
            cleaned["layers"] = cleaned.get("layers") or 1
        self._clean_fill(cleaned)
        headroom = cleaned.get("headroom_percent")
        if headroom is not None and not 0 <= headroom < MOST_EMPTY_PERCENT:
            self.add_error("headroom_percent", "Leave between 0 and 90 percent of the height empty.")
        if not self.errors:
            self._reckon_bars(cleaned)
        return cleaned

    def _clean_fill(self, cleaned: dict[str, Any]) -> None:
        """A height that was typed says how much is left empty, to the hundredth of a percent."""
        filled, tall = cleaned.pop("filled_to", None), cleaned.get("height_mm") or cleaned.get("length_mm")
        if filled is None or tall is None:
            return
        if not 0 < filled <= tall:
            self.add_error("filled_to", "The batter stands above 0 and no higher than the mold. Measure it again.")
            return
        cleaned["headroom_percent"] = (100 * (1 - filled / tall)).quantize(Decimal("0.01"))

    def _reckon_bars(self, cleaned: dict[str, Any]) -> None:
        """Judge the sizes together, and fill the good bars in where the box was left empty."""
        sizes = {name: cleaned.get(name) for name in SIZES[self.kind]}
        try:
            mold = mold_of(Mold(kind=self.kind, **sizes))
            bars = usable_bars(
                mold, end_trim_mm=sizes.get("end_trim_mm") or Mold._meta.get_field("end_trim_mm").default
            )
        except MoldError as refusal:
            self.add_error(None, str(refusal))
            return
        if cleaned.get("usable_bars") is None:
            cleaned["usable_bars"] = bars
        if cleaned["usable_bars"] < 1:
            self.add_error("usable_bars", "Not one good bar comes out of this. Check the sizes and the trim.")

    def validate_constraints(self) -> None:
        if not self.errors:
            super().validate_constraints()
