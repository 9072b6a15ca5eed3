"""A supplier's allergen statement as a form."""

from decimal import Decimal
from typing import Any

from django import forms

from formulas.actions.materials import AllergenShare
from formulas.forms.boxes import NUMBER_WANTED, decimal_box, row_formset
from formulas.models import Allergen

HUNDRED = Decimal(100)


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
