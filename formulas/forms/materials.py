"""A material as a form: only the boxes its kind needs; a figure that is not known stays empty."""

from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms

from formulas.chemistry.fatty_acids import fatty_acid_name
from formulas.chemistry.figures import FATTY_ACIDS_G_PER_MOL
from formulas.chemistry.gates_alkali import judge_alkalis
from formulas.chemistry.gates_fats import judge_fats
from formulas.chemistry.gates_liquids import judge_additives, judge_liquids
from formulas.chemistry.results import Finding
from formulas.forms.boxes import decimal_box, speak_plainly
from formulas.forms.material_boxes import FIELDS, HELP, LABELS, LAST, SOAP_NAMES, UNITS
from formulas.models import Material
from formulas.records import additive_of, alkali_of, fat_of, liquid_of

Kind = Material.Kind
HUNDRED, SAMPLE_GRAMS = Decimal(100), Decimal(100)
# Which box a sentence of the gates belongs to.
BOX_OF = {
    "sap": "sap_plan",
    "iodine-value": "iodine_value",
    "fat-density": "density_g_per_ml",
    "unsaponifiable": "unsaponifiable_percent",
    "fatty-acids": "fatty_acids",
    "purity": "purity_percent",
    "liquid-fat-without-sap": "fat_sap_low",
    "liquid-without-water": "water_percent",
    "liquid-make-up": "water_percent",
    "additive-make-up": "water_percent",
    "alkali-demand": "alkali_demand_g_naoh_per_g",
}


class MaterialForm(forms.ModelForm):
    """The boxes of one kind of material; the gates of the chemistry say what cannot be true."""

    fatty_acids = forms.CharField(
        required=False,
        label="Fatty acids, typical",
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="One a line, with its percent, such as 12:0 48. Empty if not known.",
    )
    avoid_words = forms.CharField(
        required=False,
        max_length=200,
        label="For people who avoid",
        help_text="Groups it belongs to, parted by commas: palm, nut, animal, dairy.",
    )

    class Meta:
        model = Material
        fields = (
            "name",
            *dict.fromkeys(name for names in FIELDS.values() for name in names if name != "fatty_acids"),
            "label_name_us",
            "label_name_eu",
            *SOAP_NAMES,
            *(name for name in LAST if name != "avoid_words"),
        )
        labels = LABELS
        help_texts = HELP
        widgets = {"note": forms.Textarea(attrs={"rows": 3}), "color_hex": forms.TextInput(attrs={"type": "color"})}

    def __init__(self, *args: Any, kind: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = self.instance.kind = kind
        soap_names = SOAP_NAMES if kind == Kind.FAT else ()
        names = () if kind in Material.NO_INGREDIENT else ("label_name_us", "label_name_eu")
        shown = ("name", *FIELDS[kind], *names, *soap_names, *LAST)
        self.fields = {name: self.fields[name] for name in shown}
        for name, field in self.fields.items():
            if isinstance(field, forms.DecimalField):
                field.widget = decimal_box(UNITS.get(name, "%"))
        if kind == Kind.ALKALI:
            self.fields["alkali_kind"].required = True
        self.initial["avoid_words"] = ", ".join(self.instance.avoid_groups or [])
        acids = self.instance.fatty_acids_percent or {}
        self.initial["fatty_acids"] = "\n".join(f"{acid} {share}" for acid, share in acids.items())
        if kind == Kind.COLORANT and not self.initial.get("color_hex"):
            self.initial["color_hex"] = "#c8b08a"
        speak_plainly(self)

    @property
    def groups(self) -> list[tuple[str, list[forms.BoundField]]]:
        """Return the boxes under the headings of the page."""
        names = ("label_name_us", "label_name_eu", *SOAP_NAMES)
        headings = (
            ("What it is", ("name", *FIELDS[self.kind])),
            ("On the label", (*names, "avoid_words")),
            ("Where this comes from", ("source", "source_status", "note", "is_shelved")),
        )
        return [(title, [self[name] for name in wanted if name in self.fields]) for title, wanted in headings]

    def clean_name(self) -> str:
        return " ".join(self.cleaned_data["name"].split())

    def clean_avoid_words(self) -> list[str]:
        words = (word.strip().lower() for word in self.cleaned_data["avoid_words"].split(","))
        return list(dict.fromkeys(word for word in words if word))

    def clean_fatty_acids(self) -> dict[str, str]:
        """Read "12:0 48" lines into the make-up as it is kept."""
        acids: dict[str, str] = {}
        for line in self.cleaned_data["fatty_acids"].splitlines():
            words = line.replace("%", " ").split()
            if not words:
                continue
            acid, share = words[0], words[-1].replace(",", ".")
            if len(words) != 2 or not _is_share(share):
                raise forms.ValidationError(f"“{line.strip()[:40]}” cannot be read. Write a line such as 12:0 48.")
            if fatty_acid_name(acid) not in FATTY_ACIDS_G_PER_MOL:
                raise forms.ValidationError(
                    f"“{acid[:20]}” is not a fatty acid known here. Write 12:0, 18:1 and the like."
                )
            acids[acid] = share
        return acids

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        self._fill_range(cleaned, "sap_low", "sap_plan", "sap_high")
        self._fill_range(cleaned, "purity_low_percent", "purity_percent", "purity_high_percent", plans_on_top=True)
        low, high = cleaned.get("dose_low_percent"), cleaned.get("dose_high_percent")
        if low is not None and high is not None and low > high:
            self.add_error("dose_high_percent", "The usual dose runs from the lower to the higher figure. Swap them.")
        if not self.errors:
            self._judge(cleaned)
        return cleaned

    def _fill_range(
        self, cleaned: dict[str, Any], low: str, plan: str, high: str, *, plans_on_top: bool = False
    ) -> None:
        """A planned figure alone is its own range; a range alone is planned in its middle.

        A purity known as a range only is planned on its upper end: that dose of lye cannot be too much.
        """
        if plan not in self.fields or any(name in self.errors for name in (low, plan, high)):
            return
        lowest, planned, highest = cleaned.get(low), cleaned.get(plan), cleaned.get(high)
        if planned is None and lowest is not None and highest is not None:
            cleaned[plan] = highest if plans_on_top else (lowest + highest) / 2
        elif planned is not None:
            cleaned[low] = planned if lowest is None else lowest
            cleaned[high] = planned if highest is None else highest
        elif lowest is not None or highest is not None:
            missing = high if highest is None else low
            self.add_error(missing, "A range has two ends. Type this one too, or the planned figure alone.")

    def _judge(self, cleaned: dict[str, Any]) -> None:
        draft = Material(kind=self.kind, **self.figures(cleaned))
        for finding in _findings(draft):
            box = next((name for code, name in BOX_OF.items() if finding.code.startswith(code)), None)
            self.add_error(box if box in self.fields else None, f"{finding.text} {finding.mend}".strip())

    def figures(self, cleaned: dict[str, Any] | None = None) -> dict[str, Any]:
        """Return what is to be written, field by field."""
        figures = dict(self.cleaned_data if cleaned is None else cleaned)
        figures["avoid_groups"] = figures.pop("avoid_words", [])
        if "fatty_acids" in figures:
            figures["fatty_acids_percent"] = figures.pop("fatty_acids")
        return figures

    def validate_constraints(self) -> None:
        """The gates have spoken already, in sentences that know the box; a second word would only repeat them."""
        if not self.errors:
            super().validate_constraints()


def _is_share(text: str) -> bool:
    try:
        return 0 <= Decimal(text) <= HUNDRED
    except InvalidOperation:
        return False


def _findings(draft: Material) -> tuple[Finding, ...]:
    """Ask the gates of the chemistry about one material as if it went into a pot."""
    if draft.kind == Kind.FAT:
        fat = fat_of(draft, SAMPLE_GRAMS)
        return () if fat is None else tuple(judge_fats((fat,)))
    if draft.kind == Kind.ALKALI:
        return tuple(judge_alkalis((alkali_of(draft),)))
    if draft.kind == Kind.LIQUID:
        return () if draft.water_percent is None else tuple(judge_liquids((liquid_of(draft, HUNDRED),)))
    if draft.kind in Material.NO_INGREDIENT:
        return ()
    return tuple(judge_additives((additive_of(draft, SAMPLE_GRAMS),)))
