"""What is typed about a test pour: what it is to show, how many bars of which mold, and what it taught."""

from datetime import date
from typing import Any

from django import forms

from formulas.forms.boxes import count_box
from formulas.models import Design, Mold
from orders.forms.boxes import DayField, OnceField

MOST_BARS = 1000


class PlanTestForm(forms.Form):
    tries = forms.CharField(
        max_length=300,
        label="What it is to show",
        help_text="Such as: does the scent thicken it, do the layers hold, what does the white do in three weeks.",
        error_messages={"required": "Say in a few words what this pour is to show."},
    )
    mold = forms.ModelChoiceField(
        Mold.objects.filter(is_shelved=False),
        empty_label=None,
        error_messages={"required": "Which mold is it poured in?", "invalid_choice": "Choose a mold from the list."},
    )
    bars = forms.IntegerField(
        min_value=1,
        max_value=MOST_BARS,
        widget=count_box("bars"),
        help_text="Fewer than the mold holds: it is filled in part.",
        error_messages={
            "required": "How many bars?",
            "invalid": "Type a whole number of bars, such as 3.",
            "min_value": "Pour at least one bar.",
            "max_value": "That is no test any more. Pour fewer bars.",
        },
    )
    pour_on = DayField(label="Pour on", error_messages={"required": "On which day?"})
    typed_once = OnceField()

    def __init__(self, *args: Any, design: Design, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.parts = [carried.part for carried in design.parts.all()]
        self.fields["pour_on"].initial = today
        self.fields["mold"].initial = design.mold_id
        for part in self.parts:
            self.fields[f"part_{part.pk}"] = forms.IntegerField(
                min_value=0,
                max_value=MOST_BARS,
                required=False,
                label=f"{part.name} on",
                widget=count_box("bars"),
                error_messages={
                    "invalid": f"On how many bars does {part.name} go? Type a whole number.",
                    "min_value": f"{part.name} goes on no bar or on some. Type 0 or more.",
                    "max_value": "That is no test any more. Pour fewer bars.",
                },
            )

    @property
    def part_bars(self) -> dict[int, int]:
        return {part.pk: self.cleaned_data[f"part_{part.pk}"] or 0 for part in self.parts}


class JudgeTestForm(forms.Form):
    learned = forms.CharField(
        max_length=1000,
        label="What it taught",
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Speed, trace, color after some weeks, how the layers cut. Also when all went as drawn.",
        error_messages={"required": "Say in a sentence what it taught, also when all went as drawn."},
    )

    def __init__(self, *args: Any, drawing_changed: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if drawing_changed:
            self.fields["changed_since"] = forms.CharField(
                max_length=300,
                required=False,
                label="What was changed in the drawing since",
                help_text="Only to approve it: why that needs no new test.",
            )
