"""What is typed of a pack that a supplier sells."""

from django import forms

from formulas.models import Material
from production.stock.forms import AmountField, money_field


class OfferForm(forms.Form):
    material = forms.CharField(
        max_length=120,
        widget=forms.TextInput(attrs={"list": "materials", "autocomplete": "off"}),
        error_messages={"required": "What do they sell? Type the material's name."},
    )
    pack_grams = AmountField(
        label="Pack", example="5 kg", error_messages={"required": "How much is in a pack? Type it, such as 5 kg."}
    )
    price = money_field("Price of a pack")

    def clean_material(self) -> Material:
        typed = self.cleaned_data["material"].strip()
        found = Material.objects.filter(name__iexact=typed).first()
        if found is None:
            raise forms.ValidationError(f"There is no material “{typed[:60]}”. Choose one from the list.")
        return found
