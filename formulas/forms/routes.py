"""The way a design is made as a form: one row for each step."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.text import slugify

from formulas.forms.boxes import count_box, decimal_box, form_faults, row_formset, speak_plainly, with_more_rows
from formulas.routes import MILESTONES, Step
from soapshop.units import plain

LONGEST_KEY = 30
MOST_DAYS = 730


class StepForm(forms.Form):
    """One step. A row without a name is left out."""

    key = forms.SlugField(max_length=LONGEST_KEY, required=False, widget=forms.HiddenInput)
    label = forms.CharField(max_length=80, required=False, label="Step")
    least_days = forms.IntegerField(
        min_value=-MOST_DAYS, max_value=MOST_DAYS, required=False, label="From day", widget=count_box()
    )
    most_days = forms.IntegerField(
        min_value=-MOST_DAYS, max_value=MOST_DAYS, required=False, label="To day", widget=count_box()
    )
    anchor = forms.ChoiceField(required=False, label="Counted from")
    every_days = forms.IntegerField(
        min_value=0, max_value=MOST_DAYS, required=False, label="Again every", widget=count_box("days")
    )
    fixed_minutes = forms.IntegerField(
        min_value=0, max_value=1440, required=False, label="Work", widget=count_box("min")
    )
    minutes_per_bar = forms.DecimalField(
        min_value=0,
        max_value=60,
        max_digits=5,
        decimal_places=2,
        required=False,
        label="Work on a bar",
        widget=decimal_box("min"),
    )
    binds = forms.BooleanField(required=False, label="The pour waits for it")
    needs_person = forms.BooleanField(required=False, label="Needs hands")
    is_for_part = forms.BooleanField(required=False, label="Only for bars with parts")
    note = forms.CharField(max_length=300, required=False, label="Note")

    def __init__(self, *args: Any, anchors: tuple[tuple[str, str], ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["anchor"].choices = anchors  # type: ignore[attr-defined]
        speak_plainly(self)
        self.fields["anchor"].error_messages["invalid_choice"] = (
            "That step is not in the route any more. Count this one from another step."
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        least, most = cleaned.get("least_days"), cleaned.get("most_days")
        if least is not None and most is not None and most < least:
            self.add_error("most_days", "A step ends on its first day or later. Swap the two days.")
        return cleaned

    @property
    def is_filled(self) -> bool:
        return bool(getattr(self, "cleaned_data", {}).get("label"))

    def step(self) -> Step:
        cleaned = self.cleaned_data
        return Step(
            key=cleaned.get("key") or slugify(cleaned["label"])[:LONGEST_KEY].strip("-") or "step",
            label=cleaned["label"],
            anchor=cleaned.get("anchor") or "pour",
            least_days=cleaned.get("least_days") or 0,
            most_days=cleaned.get("most_days"),
            every_days=cleaned.get("every_days") or 0,
            fixed_minutes=cleaned.get("fixed_minutes") or 0,
            minutes_per_bar=cleaned.get("minutes_per_bar") or Decimal(0),
            needs_person=cleaned["needs_person"],
            binds=cleaned["binds"],
            is_for_part=cleaned["is_for_part"],
            note=cleaned.get("note", ""),
        )


StepFormSet = row_formset(StepForm)
CHECKS = ("binds", "needs_person", "is_for_part")


class RouteRows:
    """The rows of a route's page, from the kept steps or from what was typed."""

    def __init__(self, *, steps: Sequence[Step], typed: QueryDict | None = None) -> None:
        if typed is not None and "more" in typed:
            typed = with_more_rows(typed, "steps")
        self.formset = StepFormSet(
            typed,
            prefix="steps",
            initial=None if typed is not None else [_row(step) for step in steps],
            form_kwargs={"anchors": self._anchors(steps, typed)},
        )

    @staticmethod
    def _anchors(steps: Sequence[Step], typed: QueryDict | None) -> tuple[tuple[str, str], ...]:
        names = {step.key: step.label for step in steps if step.key not in MILESTONES}
        if typed is not None:
            total = typed.get("steps-TOTAL_FORMS", "")
            for place in range(min(int(total), 60) if total.isdecimal() and len(total) < 5 else 0):
                label = typed.get(f"steps-{place}-label", "").strip()
                key = typed.get(f"steps-{place}-key", "") or slugify(label)[:LONGEST_KEY].strip("-")
                if label and key and key not in MILESTONES:
                    names[key] = label[:80]
        return (*MILESTONES.items(), *names.items())

    def is_valid(self) -> bool:
        return self.formset.is_valid()

    def steps(self) -> tuple[Step, ...]:
        return tuple(form.step() for form in self.formset if form.is_filled)

    def faults(self) -> list[str]:
        return [
            f"Step {place}, {fault}" for place, form in enumerate(self.formset, start=1) for fault in form_faults(form)
        ]


def _row(step: Step) -> dict[str, Any]:
    return {name: getattr(step, name) for name in Step.__dataclass_fields__} | {
        "minutes_per_bar": plain(step.minutes_per_bar) if step.minutes_per_bar else None,
        "fixed_minutes": step.fixed_minutes or None,
        "every_days": step.every_days or None,
    }
