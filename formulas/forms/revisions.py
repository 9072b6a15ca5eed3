"""A formula as a form: its figures, and one list of lines for each stage."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms
from django.http import QueryDict

from formulas.actions.revisions import LineDraft
from formulas.chemistry.solution import strength_from_weighing
from formulas.forms.boxes import (
    MassTextField,
    MaterialRowForm,
    decimal_box,
    form_faults,
    row_formset,
    speak_plainly,
    with_more_rows,
)
from formulas.models import Formula, FormulaLine, FormulaRevision, Material
from soapshop.units import plain

STRENGTH_STEP = Decimal("0.001")
Kind = Material.Kind
Stage = FormulaLine.Stage


class FormulaNameForm(forms.Form):
    name = forms.CharField(
        max_length=100, label="Formula name", error_messages={"required": "Give the formula a name."}
    )

    def clean_name(self) -> str:
        name: str = " ".join(self.cleaned_data["name"].split())
        if Formula.objects.filter(name__iexact=name).exists():
            raise forms.ValidationError("There is a formula of this name. Revise that one, or choose another name.")
        return name


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


class LineForm(MaterialRowForm):
    """One line of a formula; only some kinds of material belong in each list."""

    stage = forms.ChoiceField(choices=((Stage.TRACE, "At trace"), (Stage.LYE, "In the lye liquid")), required=False)
    most_percent = Decimal(200)

    def __init__(self, *args: Any, kinds: tuple[str, ...], stage: str | None, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kinds = kinds
        self.fixed_stage = stage
        self.fields["material"].widget.attrs.update(
            list=f"{(self.prefix or '').split('-')[0]}-materials", autocomplete="off"
        )
        self.fields["percent"].widget = decimal_box(unit)
        if stage is not None:
            del self.fields["stage"]

    @property
    def draft(self) -> LineDraft | None:
        """Return the line, or None where the row is empty or cannot be read yet."""
        found = getattr(self, "cleaned_data", {}).get("found")
        if found is None or self.errors:
            return None
        stage = self.fixed_stage or self.cleaned_data.get("stage") or Stage.TRACE
        return LineDraft(material=found, stage=stage, percent=self.cleaned_data["percent"])


class LineList(forms.BaseFormSet):
    """One list of lines. A material stands in it once for each place it goes into."""

    def clean(self) -> None:
        seen = set()
        for form in self.forms:
            draft = form.draft
            if draft is None:
                continue
            if (draft.material.pk, draft.stage) in seen:
                form.add_error("material", f"{draft.material.name} stands there twice. Add the shares up in one line.")
            seen.add((draft.material.pk, draft.stage))


LineFormSet = row_formset(LineForm, formset=LineList)

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
    ("oils", "Oils", "Percent of all oils; the list adds up to 100.", (Kind.FAT,), Stage.OILS, "%"),
    ("alkali", "Lye", "Share of the fat it neutralizes; adds up to 100.", (Kind.ALKALI,), Stage.ALKALI, "%"),
    ("liquid", "Lye liquid", "Share of the liquid; adds up to 100.", (Kind.LIQUID,), Stage.LIQUID, "%"),
    ("extras", "Additions", "Percent of oils, each on its own.", ADDITION_KINDS, None, "%"),
)


EMPTY_ROWS = {"oils": 3, "alkali": 1, "liquid": 1, "extras": 2}
# What most formulas begin with, so that a new page needs only its oils.
USUAL_LINES = {"alkali": ("Sodium hydroxide", Decimal(100)), "liquid": ("Water", Decimal(100))}


class LineSections:
    """The four lists of a formula page, from a saved revision or from what was typed."""

    def __init__(self, *, lines: Iterable[FormulaLine] | None = None, typed: QueryDict | None = None) -> None:
        if typed is not None and "more" in typed:
            typed = with_more_rows(typed, str(typed["more"]))
        self.sections: list[dict[str, Any]] = []
        for key, title, hint, kinds, stage, unit in SECTIONS:
            formset = LineFormSet(
                typed,
                prefix=key,
                initial=None if typed is not None else self._initial(key, stage, lines),
                form_kwargs={"kinds": kinds, "stage": stage, "unit": unit},
            )
            formset.extra = EMPTY_ROWS[key]
            more = f"More rows: {title.lower()}"
            self.sections.append({"key": key, "title": title, "hint": hint, "more": more, "formset": formset})

    @staticmethod
    def _initial(key: str, stage: str | None, lines: Iterable[FormulaLine] | None) -> list[dict[str, Any]]:
        if lines is None:
            name, percent = USUAL_LINES.get(key, ("", None))
            return [{"material": name, "percent": percent}] if name else []
        mine = [line for line in lines if line.stage == stage or (stage is None and line.stage in ("lye", "trace"))]
        return [{"material": line.material.name, "percent": plain(line.percent), "stage": line.stage} for line in mine]

    def faults(self) -> list[str]:
        """Return what is wrong in the lists as sentences."""
        faults = []
        for section in self.sections:
            for place, form in enumerate(section["formset"], start=1):
                faults += [f"{section['title']}, row {place}: {fault}" for fault in form_faults(form)]
        return faults

    def is_valid(self) -> bool:
        """Judge every list, also after one has failed, so that all errors show at once."""
        verdicts = [section["formset"].is_valid() for section in self.sections]
        return all(verdicts)

    def drafts(self) -> list[LineDraft]:
        forms_of = (form for section in self.sections for form in section["formset"])
        return [draft for form in forms_of if form.is_bound and (draft := form.draft) is not None]


class ReviseForm(forms.Form):
    reason = forms.CharField(
        max_length=300,
        label="Why does the formula change?",
        error_messages={"required": "Say in a few words why the formula changes."},
    )


class ApproveForm(forms.Form):
    override_reason = forms.CharField(
        max_length=300,
        required=False,
        label="Reason for approving it all the same",
        help_text="Needed only where a question is open above. It stays with the revision.",
    )
