"""A formula as a form: its figures, and one list of lines for each stage."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms

from formulas.actions.revisions import LineDraft
from formulas.models import Formula, FormulaLine, FormulaRevision, Material

Kind = Material.Kind
Stage = FormulaLine.Stage
NUMBER_WANTED = {"invalid": "Type a number such as 12.5."}


def decimal_box(unit: str = "") -> forms.TextInput:
    """Return a short box for a number, with its unit beside it. What was typed stays, number or not."""
    attrs = {"inputmode": "decimal", "class": "narrow", "autocomplete": "off"}
    return forms.TextInput(attrs=attrs | ({"data-unit": unit} if unit else {}))


class FormulaNameForm(forms.Form):
    name = forms.CharField(max_length=100, label="Formula name")

    def clean_name(self) -> str:
        name: str = " ".join(self.cleaned_data["name"].split())
        if Formula.objects.filter(name__iexact=name).exists():
            raise forms.ValidationError("There is a formula of this name. Revise that one, or choose another name.")
        return name


class FiguresForm(forms.ModelForm):
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
            "stock_strength_percent": "Leave empty when dry lye is dissolved for each batch.",
            "oils_per_ml": "Grams of oils a milliliter of mold took in your own batches. Empty: reckoned.",
        }

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        cure, least = cleaned.get("cure_days"), cleaned.get("least_cure_days")
        if cure is not None and least is not None and least > cure:
            self.add_error("least_cure_days", "The least cure cannot be longer than the cure.")
        value = cleaned.get("liquid_value")
        if value is not None and value <= 0:
            self.add_error("liquid_value", "The liquid figure must be above 0. Lye needs liquid to dissolve in.")
        return cleaned


class LineForm(forms.Form):
    """One line. The material is typed or chosen from the list; an unknown name says what to do."""

    material = forms.CharField(max_length=120, required=False, label="Material")
    percent = forms.DecimalField(
        max_digits=7,
        decimal_places=4,
        required=False,
        label="Percent",
        error_messages=NUMBER_WANTED,
        widget=decimal_box("%"),
    )
    stage = forms.ChoiceField(choices=((Stage.LYE, "In the lye liquid"), (Stage.TRACE, "At trace")), required=False)

    def __init__(self, *args: Any, kinds: tuple[str, ...], stage: str | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kinds = kinds
        self.fixed_stage = stage
        self.fields["material"].widget.attrs.update(list=f"{self.prefix.split('-')[0]}-materials", autocomplete="off")
        if stage is not None:
            del self.fields["stage"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        name, percent = cleaned.get("material", "").strip(), cleaned.get("percent")
        if not name and percent is None:
            return cleaned
        if not name:
            self.add_error("material", "Name the material of this share.")
        else:
            cleaned["found"] = self._find(name)
        if percent is None and "percent" not in self.errors:
            self.add_error("percent", "How much of it? Type its percent, or clear the line.")
        elif percent is not None and not Decimal(0) < percent <= Decimal(200):
            self.add_error("percent", "A share lies above 0 and at most 200 percent.")
        return cleaned

    def _find(self, name: str) -> Material | None:
        material = Material.objects.filter(name__iexact=name).first()
        if material is None:
            near = Material.objects.of_kind(*self.kinds).filter(name__icontains=name.split()[0])[:3]
            hint = ", ".join(item.name for item in near)
            mend = f" Did you mean {hint}?" if hint else " Choose one from the list, or add it under Materials first."
            self.add_error("material", f"“{name}” is not among your materials.{mend}")
        elif material.kind not in self.kinds:
            kind = material.get_kind_display().lower()
            self.add_error("material", f"{material.name} is kept as “{kind}” and does not belong in this list.")
            return None
        return material

    @property
    def draft(self) -> LineDraft | None:
        found = self.cleaned_data.get("found")
        if found is None:
            return None
        stage = self.fixed_stage or self.cleaned_data.get("stage") or Stage.TRACE
        return LineDraft(material=found, stage=stage, percent=self.cleaned_data["percent"])


LineFormSet = forms.formset_factory(LineForm, extra=2, max_num=40, absolute_max=60)

ADDITION_KINDS = (
    Kind.ADDITIVE,
    Kind.ACID,
    Kind.FRAGRANCE,
    Kind.ESSENTIAL_OIL,
    Kind.BOTANICAL,
    Kind.COLORANT,
    Kind.LIQUID,
)
SECTIONS: tuple[tuple[str, str, str, tuple[str, ...], str | None, str], ...] = (
    ("oils", "Oils", "Percent of all oils; the list adds up to 100.", (Kind.FAT,), Stage.OILS, "% of oils"),
    ("alkali", "Lye", "Share of the fat it neutralizes; adds up to 100.", (Kind.ALKALI,), Stage.ALKALI, "% of fat"),
    ("liquid", "Lye liquid", "Share of the liquid; adds up to 100.", (Kind.LIQUID,), Stage.LIQUID, "% of liquid"),
    ("extras", "Additions", "Percent of oils, each on its own.", ADDITION_KINDS, None, "% of oils"),
)


class LineSections:
    """The four lists of a formula page, from a saved revision or from what was typed."""

    def __init__(self, *, lines: Iterable[FormulaLine] = (), typed: Any = None, more: bool = False) -> None:
        kept = list(lines)
        self.sections = []
        for key, title, hint, kinds, stage, unit in SECTIONS:
            mine = [line for line in kept if line.stage == stage or (stage is None and line.stage in ("lye", "trace"))]
            initial = [
                {"material": line.material.name, "percent": line.percent.normalize(), "stage": line.stage}
                for line in mine
            ]
            formset = LineFormSet(
                typed, prefix=key, initial=None if typed else initial, form_kwargs={"kinds": kinds, "stage": stage}
            )
            formset.extra = 4 if more else 2
            self.sections.append({"key": key, "title": title, "hint": hint, "unit": unit, "formset": formset})

    def is_valid(self) -> bool:
        """Judge every list, also after one has failed, so that all errors show at once."""
        verdicts = [section["formset"].is_valid() for section in self.sections]
        return all(verdicts)

    def drafts(self) -> list[LineDraft]:
        forms_of = (form for section in self.sections for form in section["formset"])
        return [draft for form in forms_of if form.is_bound and (draft := form.draft) is not None]


class ReviseForm(forms.Form):
    reason = forms.CharField(max_length=300, label="Why does the formula change?")


class ApproveForm(forms.Form):
    override_reason = forms.CharField(
        max_length=300,
        required=False,
        label="Reason for approving it all the same",
        help_text="Needed only where a question is open above. It stays with the revision.",
    )
