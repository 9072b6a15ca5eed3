"""A customer as typed."""

from typing import Any

from django import forms

from formulas.models import Material
from orders.forms.boxes import ManyField, OnceField
from orders.models import Customer

MOST_GROUPS, LONGEST_GROUP = 20, 40


class CustomerForm(forms.ModelForm):
    avoid_groups = forms.CharField(
        required=False,
        max_length=400,
        label="Groups to avoid",
        help_text="With commas between them, such as palm, nut, animal, dairy, scent.",
    )
    avoid_materials = ManyField(
        Material.objects.none(),
        required=False,
        label="Materials to avoid",
        widget=forms.SelectMultiple(attrs={"size": 6}),
        help_text="Hold Ctrl (on a Mac, Command) to mark more than one.",
    )
    typed_once = OnceField()

    class Meta:
        model = Customer
        fields = ("name", "email", "phone", "address", "avoid_groups", "avoid_materials", "note")
        widgets = {
            "address": forms.Textarea(attrs={"rows": 3}),
            "note": forms.Textarea(attrs={"rows": 2}),
        }
        error_messages = {"name": {"required": "What are they called?"}}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        materials: Any = self.fields["avoid_materials"]
        materials.queryset = Material.objects.in_use().exclude(kind__in=Material.NO_INGREDIENT)
        self.initial["avoid_groups"] = ", ".join(self.instance.avoid_groups or [])

    def clean_avoid_groups(self) -> list[str]:
        typed = self.cleaned_data["avoid_groups"].split(",")
        groups = list(dict.fromkeys(group.strip().lower() for group in typed if group.strip()))
        if len(groups) > MOST_GROUPS or any(len(group) > LONGEST_GROUP for group in groups):
            raise forms.ValidationError("Put a comma between the groups, one or two words each, at most twenty groups.")
        return groups

    @property
    def customer(self) -> Customer:
        self.instance.typed_once = self.instance.typed_once or self.cleaned_data["typed_once"]
        return self.instance
