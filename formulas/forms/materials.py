"""A material as a form: only the boxes its kind needs; a figure that is not known stays empty."""

from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms

from formulas.actions.materials import AllergenShare
from formulas.chemistry.fatty_acids import fatty_acid_name
from formulas.chemistry.figures import FATTY_ACIDS_G_PER_MOL
from formulas.chemistry.gates_alkali import judge_alkalis
from formulas.chemistry.gates_fats import judge_fats
from formulas.chemistry.gates_liquids import judge_additives, judge_liquids
from formulas.chemistry.results import Finding
from formulas.forms.boxes import NUMBER_WANTED, decimal_box, row_formset, speak_plainly
from formulas.models import Allergen, Material
from formulas.records import additive_of, alkali_of, fat_of, liquid_of

Kind = Material.Kind
HUNDRED, SAMPLE_GRAMS = Decimal(100), Decimal(100)

DOSE = ("dose_low_percent", "dose_high_percent", "dose_basis", "grams_per_teaspoon", "when_added")
SCENT = (
    *DOSE,
    "scent_limit_percent",
    "scent_limit_source",
    "flash_point_c",
    "alcohol_percent",
    "speeds_trace",
)
FIELDS: dict[str, tuple[str, ...]] = {
    Kind.FAT: (
        "sap_low",
        "sap_plan",
        "sap_high",
        "iodine_value",
        "density_g_per_ml",
        "unsaponifiable_percent",
        "gives_glycerol",
        "fatty_acids",
    ),
    Kind.ALKALI: ("alkali_kind", "purity_low_percent", "purity_percent", "purity_high_percent"),
    Kind.LIQUID: (
        "water_percent",
        "fat_percent",
        "fat_sap_low",
        "fat_sap_high",
        "sugars_percent",
        "protein_percent",
        "alcohol_percent",
        "alkali_demand_g_naoh_per_g",
    ),
    Kind.ACID: ("alkali_demand_g_naoh_per_g", "water_percent", *DOSE),
    Kind.ADDITIVE: ("alkali_demand_g_naoh_per_g", "water_percent", "alcohol_percent", *DOSE),
    Kind.FRAGRANCE: SCENT,
    Kind.ESSENTIAL_OIL: SCENT,
    Kind.COLORANT: ("color_hex", "color_index", "us_color_listing", *DOSE),
    Kind.BOTANICAL: ("water_percent", *DOSE),
    Kind.PACKAGING: (),
}
SOAP_NAMES = ("soap_name_sodium", "soap_name_potassium")
LAST = ("avoid_words", "source", "source_status", "note", "is_shelved")
UNITS = {
    "sap_low": "mg KOH/g",
    "sap_plan": "mg KOH/g",
    "sap_high": "mg KOH/g",
    "fat_sap_low": "mg KOH/g",
    "fat_sap_high": "mg KOH/g",
    "iodine_value": "g/100 g",
    "density_g_per_ml": "g/ml",
    "alkali_demand_g_naoh_per_g": "g NaOH/g",
    "grams_per_teaspoon": "g",
    "flash_point_c": "°C",
}
LABELS = {
    "sap_low": "SAP, lowest",
    "sap_plan": "SAP, planned",
    "sap_high": "SAP, highest",
    "density_g_per_ml": "Density in the warm pot",
    "unsaponifiable_percent": "Unsaponifiable",
    "gives_glycerol": "Gives glycerin (a wax or a free acid gives none)",
    "water_percent": "Water in it",
    "fat_percent": "Fat in it",
    "fat_sap_low": "SAP of that fat, lowest",
    "fat_sap_high": "SAP of that fat, highest",
    "sugars_percent": "Sugars",
    "protein_percent": "Protein",
    "alcohol_percent": "Alcohol",
    "alkali_demand_g_naoh_per_g": "Lye it takes up",
    "alkali_kind": "Which alkali",
    "purity_low_percent": "Purity, lowest",
    "purity_percent": "Purity, planned",
    "purity_high_percent": "Purity, highest",
    "dose_low_percent": "Usual dose, from",
    "dose_high_percent": "Usual dose, to",
    "dose_basis": "Dose is counted in",
    "grams_per_teaspoon": "A level teaspoon weighs",
    "when_added": "When it goes in",
    "scent_limit_source": "Where the limit stands",
    "flash_point_c": "Flash point",
    "speeds_trace": "Speeds up trace",
    "label_name_us": "Name on labels, United States",
    "label_name_eu": "Name on labels, European Union",
    "soap_name_sodium": "Name of its soap with NaOH",
    "soap_name_potassium": "Name of its soap with KOH",
    "color_hex": "Color to draw it in",
    "us_color_listing": "Listing as a color, United States",
    "source": "Where the figures come from",
    "source_status": "How sure they are",
}
HELP = {
    "sap_plan": "mg of KOH for each gram, such as 190. Empty: the middle of the range.",
    "scent_limit_percent": "From the supplier's certificate. Empty means unknown, not unlimited.",
    "alkali_demand_g_naoh_per_g": "Grams of NaOH that one gram uses up; 0 if none, empty if unknown.",
    "source": "A certificate, a book, a supplier's sheet.",
}
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
        names = () if kind == Kind.PACKAGING else ("label_name_us", "label_name_eu")
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
        self._fill_range(cleaned, "purity_low_percent", "purity_percent", "purity_high_percent")
        low, high = cleaned.get("dose_low_percent"), cleaned.get("dose_high_percent")
        if low is not None and high is not None and low > high:
            self.add_error("dose_high_percent", "The usual dose runs from the lower to the higher figure. Swap them.")
        if not self.errors:
            self._judge(cleaned)
        return cleaned

    def _fill_range(self, cleaned: dict[str, Any], low: str, plan: str, high: str) -> None:
        """A planned figure alone is its own range; a range alone is planned in its middle."""
        if plan not in self.fields or any(name in self.errors for name in (low, plan, high)):
            return
        lowest, planned, highest = cleaned.get(low), cleaned.get(plan), cleaned.get(high)
        if planned is None and lowest is not None and highest is not None:
            cleaned[plan] = (lowest + highest) / 2
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
    if draft.kind == Kind.PACKAGING:
        return ()
    return tuple(judge_additives((additive_of(draft, SAMPLE_GRAMS),)))


class AllergenForm(forms.Form):
    """One line of a supplier's statement: an allergen of the list and the most the material holds of it."""

    allergen = forms.CharField(max_length=120, required=False, label="Allergen")
    percent = forms.DecimalField(
        max_digits=8,
        decimal_places=5,
        required=False,
        label="Most in the material",
        widget=decimal_box("%"),
        error_messages=NUMBER_WANTED,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["allergen"].widget.attrs.update(list="allergen-names", autocomplete="off")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        name, percent = " ".join(cleaned.get("allergen", "").split()), cleaned.get("percent")
        if not name and percent is None:
            return cleaned
        found = Allergen.objects.filter(name__iexact=name).first()
        if found is None:
            near = Allergen.objects.filter(name__icontains=name.split()[0])[:3] if name else ()
            hint = ", ".join(item.name for item in near)
            mend = f"Did you mean {hint}?" if hint else "Choose one from the list."
            self.add_error("allergen", f"“{name}” is not in the list of allergens. {mend}" if name else "Which one?")
        cleaned["found"] = found
        if percent is None and "percent" not in self.errors:
            self.add_error("percent", "How much of it? Type the highest percent the statement gives.")
        elif percent is not None and not 0 <= percent <= HUNDRED:
            self.add_error("percent", "A share lies between 0 and 100 percent.")
        return cleaned

    @property
    def share(self) -> AllergenShare | None:
        cleaned = getattr(self, "cleaned_data", {})
        found = cleaned.get("found")
        return None if found is None or self.errors else AllergenShare(found, cleaned["percent"])


AllergenFormSet = row_formset(AllergenForm, extra=3, max_num=85, absolute_max=120)


class StatementForm(forms.Form):
    source = forms.CharField(
        max_length=200, required=False, label="Which statement", help_text="Supplier, number and date of the paper."
    )
    is_entered = forms.BooleanField(
        required=False,
        label="This is the whole statement",
        help_text="Until this is ticked, the allergens of the material count as unknown.",
    )
