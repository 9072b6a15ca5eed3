"""A formula as a form: its figures, and one list of lines for each stage."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms
from django.http import QueryDict

from formulas.actions.revisions import LineDraft
from formulas.forms.boxes import (
    MaterialRowForm,
    decimal_box,
    form_faults,
    row_formset,
    with_more_rows,
)
from formulas.forms.weights import with_percents
from formulas.models import Formula, FormulaLine, Material
from soapshop.units import plain

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
WEIGHTS_HINT = (
    "Percent of all oils; the list adds up to 100. A recipe in weights: type them all, additions too (400 g, 14.9 oz), "
    "then turn them into percent."
)
SECTIONS: tuple[tuple[str, str, str, tuple[str, ...], str | None, str], ...] = (
    ("oils", "Oils", WEIGHTS_HINT, (Kind.FAT,), Stage.OILS, "%"),
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
        refusal = ""
        if typed is not None and "weights" in typed:
            typed, refusal = with_percents(typed)
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
            section = {"key": key, "title": title, "hint": hint, "more": more, "formset": formset}
            self.sections.append(section | {"refusal": refusal if key == "oils" else "", "has_weights": key == "oils"})

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
