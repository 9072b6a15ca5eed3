"""The figures of a formula as a form: superfat, liquid, lye mixed ahead, cure."""

from decimal import Decimal
from typing import Any

from django import forms

from formulas.chemistry.solution import strength_from_weighing
from formulas.forms.boxes import MassTextField, decimal_box, speak_plainly
from formulas.models import FormulaRevision

STRENGTH_STEP = Decimal("0.001")
FIGURE_GROUPS = (
    ("Superfat and liquid", ("superfat_percent", "weighing_error_percent", "liquid_basis", "liquid_value")),
    ("Lye mixed ahead", ("stock_strength_percent", "stock_lye", "stock_empty", "stock_full")),
    ("Mold and cure", ("oils_per_ml", "cure_days", "least_cure_days", "process_note")),
)


class FiguresForm(forms.ModelForm):
    """The figures of a revision. A ready lye solution's strength may be typed, or follow from three weighings."""

    stock_lye = MassTextField(required=False, label="Dry lye that went into it")
    stock_empty = MassTextField(required=False, label="Its empty container")
    stock_full = MassTextField(required=False, label="Container and cooled solution")

    class Meta:
        model = FormulaRevision
        fields = (
            "superfat_percent",
            "liquid_basis",
            "liquid_value",
            "stock_strength_percent",
            "weighing_error_percent",
            "cure_days",
            "least_cure_days",
            "oils_per_ml",
            "process_note",
        )
        widgets = {
            "superfat_percent": decimal_box("%"),
            "liquid_value": decimal_box(),
            "stock_strength_percent": decimal_box("%"),
            "weighing_error_percent": decimal_box("%"),
            "cure_days": decimal_box("days"),
            "least_cure_days": decimal_box("days"),
            "oils_per_ml": decimal_box("g/ml"),
            "process_note": forms.Textarea(attrs={"rows": 3}),
        }
        labels = {
            "superfat_percent": "Superfat",
            "liquid_basis": "Liquid is set by",
            "liquid_value": "Liquid figure",
            "stock_strength_percent": "Lye from a ready solution of",
            "weighing_error_percent": "Weighing error to reckon with",
            "cure_days": "Cure",
            "least_cure_days": "Least cure",
            "oils_per_ml": "Own measured fill",
        }
        help_texts = {
            "superfat_percent": "Share of the fat left free, by the lye it could take up.",
            "liquid_value": (
                "33 for 33 % lye concentration; 2 for two parts of liquid to one of lye; 38 for 38 % of oils."
            ),
            "stock_strength_percent": (
                "Leave empty when dry lye is dissolved for each batch. Water steams off while it is mixed: "
                "the three weights below give the true strength."
            ),
            "oils_per_ml": "Grams of oils a milliliter of mold took in your own batches. Empty: reckoned.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        speak_plainly(self)

    @property
    def groups(self) -> list[tuple[str, list[forms.BoundField]]]:
        """Return the boxes under their headings, as the page shows them."""
        return [(title, [self[name] for name in names]) for title, names in FIGURE_GROUPS]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        cure, least = cleaned.get("cure_days"), cleaned.get("least_cure_days")
        if cure is not None and least is not None and least > cure:
            self.add_error("least_cure_days", "The least cure cannot be longer than the cure.")
        self._weigh_stock(cleaned)
        value = cleaned.get("liquid_value")
        if value is not None and value <= 0:
            self.add_error("liquid_value", "The liquid figure must be above 0. Lye needs liquid to dissolve in.")
        return cleaned

    def _weigh_stock(self, cleaned: dict[str, Any]) -> None:
        """Take the strength of the ready solution from its weighings, where they are given."""
        lye, empty, full = (cleaned.pop(name, None) for name in ("stock_lye", "stock_empty", "stock_full"))
        if lye is None and empty is None and full is None:
            return
        if any(name in self.errors for name in ("stock_lye", "stock_empty", "stock_full")):
            return
        if lye is None or empty is None or full is None:
            self.add_error("stock_strength_percent", "The true strength needs all three weights. Type the missing one.")
        elif not 0 < lye < full - empty:
            self.add_error(
                "stock_full", "The cooled solution must weigh more than the lye in it. Check the three weights."
            )
        else:
            strength = strength_from_weighing(alkali_grams=lye, tare_grams=empty, cooled_gross_grams=full)
            cleaned["stock_strength_percent"] = (100 * strength).quantize(STRENGTH_STEP)
