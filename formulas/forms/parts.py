"""A part as a form: what it is, how many spares, its days, and what it is made of."""

from typing import Any

from django import forms

from formulas.actions.parts import IngredientDraft
from formulas.forms.boxes import MassTextField, MaterialRowForm, count_box, decimal_box, row_formset, speak_plainly
from formulas.models import Material, Part
from formulas.spares import usual_part_spares

SPARES = ("spare_percent", "spare_least")
INGREDIENT_KINDS = tuple(kind for kind in Material.Kind.values if kind not in Material.NO_INGREDIENT)

GROUPS = (
    ("One piece", ("name", "kind", "unit_grams", "color_hex", "note")),
    ("Where it comes from", ("formula", "batter_grams", "is_bought")),
    (
        "When it is made and attached",
        (
            "made_ahead_least_days",
            "made_ahead_most_days",
            "attached_at",
            "attach_window_days",
            "forbids_heat",
            "forbids_wrap",
        ),
    ),
    ("Spares, work and weight", ("spare_percent", "spare_least", "minutes_per_piece", "counts_as_contents", "packing")),
)


class PartForm(forms.ModelForm):
    unit_grams = MassTextField(label="One piece weighs", help_text="Of a stamp: its tint on a bar, 0 without one.")
    batter_grams = MassTextField(
        label="Batter for one piece",
        required=False,
        help_text="Weighed wet, trimmings included. Empty: as much as a piece weighs.",
    )

    class Meta:
        model = Part
        fields = (
            "name",
            "kind",
            "formula",
            "batter_grams",
            "is_bought",
            "unit_grams",
            "color_hex",
            "attached_at",
            "attach_window_days",
            "made_ahead_least_days",
            "made_ahead_most_days",
            "spare_percent",
            "spare_least",
            "minutes_per_piece",
            "counts_as_contents",
            "forbids_heat",
            "forbids_wrap",
            "packing",
            "note",
        )
        widgets = {
            "color_hex": forms.TextInput(attrs={"type": "color"}),
            "attach_window_days": count_box("days"),
            "made_ahead_least_days": count_box("days"),
            "made_ahead_most_days": count_box("days"),
            "spare_percent": decimal_box("%"),
            "spare_least": count_box("pieces"),
            "minutes_per_piece": decimal_box("min"),
        }
        labels = {
            "formula": "Made from the formula",
            "is_bought": "Bought ready made",
            "attached_at": "Goes on",
            "attach_window_days": "Within so many days of the cut",
            "made_ahead_least_days": "Made ahead, at least",
            "made_ahead_most_days": "Made ahead, at most",
            "spare_percent": "Spares",
            "spare_least": "Spares, at least",
            "minutes_per_piece": "Work on a piece",
            "color_hex": "Color to draw it in",
            "forbids_wrap": "Must not be wrapped in film",
            "packing": "Packed how",
        }
        help_texts = {
            "formula": "Its batches are weighed, get a ticket and a lot; what it is made of follows.",
            "kind": "A stamp is work on the bar: it needs no pieces on the shelf. Its tint is an ingredient.",
            "packing": "Such as a box of its own; it is printed on the packing slip.",
            "spare_percent": "Empty: 25 % of toppers, which break easily, 10 % of the rest (common practice).",
            "spare_least": "Empty: 2 toppers, 1 of the rest.",
            "attach_window_days": "While both faces are fresh. Empty: no hurry.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        speak_plainly(self)
        for name in SPARES:
            self.fields[name].required = False
            if self.instance.pk is None:
                self.initial[name] = None
        self.fields["formula"].empty_label = "no formula of its own"  # type: ignore[attr-defined]
        self.fields["unit_grams"].error_messages["required"] = "Weigh a piece and type it, such as 3.5 g."

    @property
    def groups(self) -> list[tuple[str, list[forms.BoundField]]]:
        """Return the boxes under the headings of the page."""
        return [(title, [self[name] for name in names]) for title, names in GROUPS]

    def clean_name(self) -> str:
        return " ".join(self.cleaned_data["name"].split())

    def clean_unit_grams(self) -> Any:
        """Only a stamp without a tint weighs nothing."""
        grams, is_stamp = self.cleaned_data["unit_grams"], self.cleaned_data.get("kind") == Part.Kind.STAMP
        if grams is not None and not (0 < grams <= 1000 or (is_stamp and grams == 0)):
            raise forms.ValidationError("A piece weighs more than 0 g and at most 1 kg. Check the number and its unit.")
        return grams

    def clean(self) -> dict[str, Any]:
        """Spares that nobody typed follow the rule of the kind."""
        cleaned = super().clean() or {}
        usual = dict(zip(SPARES, usual_part_spares(cleaned.get("kind", "")), strict=True))
        for name in SPARES:
            if name in cleaned and cleaned[name] is None:
                cleaned[name] = usual[name]
        return cleaned

    def clean_spare_percent(self) -> Any:
        spares = self.cleaned_data["spare_percent"]
        if spares is not None and not 0 <= spares <= 100:
            raise forms.ValidationError("Spares lie between 0 and 100 percent.")
        return spares

    def clean_minutes_per_piece(self) -> Any:
        minutes = self.cleaned_data["minutes_per_piece"]
        if minutes is not None and minutes < 0:
            raise forms.ValidationError("Work takes 0 minutes or more.")
        return minutes


class IngredientForm(MaterialRowForm):
    kinds = INGREDIENT_KINDS

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["material"].widget.attrs.update(list="part-materials", autocomplete="off")
        self.fields["percent"].widget = decimal_box("%")

    @property
    def draft(self) -> IngredientDraft | None:
        cleaned = getattr(self, "cleaned_data", {})
        found = cleaned.get("found")
        return None if found is None or self.errors else IngredientDraft(found, cleaned["percent"])


IngredientFormSet = row_formset(IngredientForm)
