"""Boxes for what is charged and what was paid."""

from decimal import Decimal
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout, Submit
from django import forms

from formulas.forms.boxes import decimal_box
from orders.forms.boxes import DayField, OnceField
from orders.models import HouseTerms, OrderCharges, Payment, TaxRate

AMOUNT_WANTED = {
    "required": "Type the amount.",
    "invalid": "Type an amount such as 48.50.",
    "min_value": "Type an amount of more than nothing.",
    "max_value": "That amount is too large for one entry. Check it.",
    "max_decimal_places": "An amount has at most two places after the point.",
    "max_digits": "That amount is too large for one entry. Check it.",
    "max_whole_digits": "That amount is too large for one entry. Check it.",
}
LARGEST = Decimal(1_000_000)


class AmountField(forms.DecimalField):
    """An amount of money in whole cents."""

    def __init__(self, *, unit: str = "", **kwargs: Any) -> None:
        kwargs.setdefault("min_value", Decimal(0))
        super().__init__(
            max_value=LARGEST, decimal_places=2, widget=decimal_box(unit), error_messages=AMOUNT_WANTED, **kwargs
        )


class PaymentForm(forms.Form):
    kind = forms.ChoiceField(choices=Payment.Kind.choices, label="Which way", initial=Payment.Kind.PAYMENT)
    amount = AmountField(min_value=Decimal("0.01"))
    on = DayField(label="Day", error_messages={"required": "On which day?", "invalid": "Type a day."})
    way = forms.ChoiceField(choices=Payment.Way.choices, label="How", initial=Payment.Way.TRANSFER)
    note = forms.CharField(max_length=200, required=False, label="Note for yourself and the account")
    typed_once = OnceField()


class ChargesForm(forms.ModelForm):
    """Discount, fees and tax of one order. The rate is copied, so that the table may change later."""

    rate = forms.ModelChoiceField(TaxRate.objects.none(), required=False, label="Tax rate", empty_label="No tax")

    class Meta:
        model = OrderCharges
        fields = (
            "discount_percent",
            "discount_amount",
            "discount_words",
            "setup_fee",
            "post_fee",
            "rush_fee",
            "small_order_fee",
            "fee_words",
            "tax_mode",
            "deposit_percent",
            "valid_until",
            "deposit_due_on",
            "balance_due_on",
        )

    def __init__(self, *args: Any, rates: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("discount_amount", "setup_fee", "post_fee"):
            self.fields[name] = AmountField(required=False, label=self.fields[name].label)
        for name in ("rush_fee", "small_order_fee"):
            rule = "Left empty, the shop's rule counts; 0 lets it go."
            self.fields[name] = AmountField(required=False, label=self.fields[name].label, help_text=rule)
        for name in ("discount_percent", "deposit_percent"):
            self.fields[name].widget = decimal_box("%")
            self.fields[name].required = False
            self.fields[name].error_messages["invalid"] = "Type a percentage such as 10."
        for name in ("valid_until", "deposit_due_on", "balance_due_on"):
            self.fields[name] = DayField(required=False, label=self.fields[name].label)
        self.fields["rate"].queryset = rates  # type: ignore[attr-defined]
        self.initial.setdefault("rate", rates.filter(name=self.instance.tax_name).first())

    @property
    def wanted(self) -> dict[str, Any]:
        given = {name: self.cleaned_data[name] for name in self.Meta.fields}
        given = {
            name: Decimal(0) if figure is None and name in ZERO_WHEN_EMPTY else figure for name, figure in given.items()
        }
        rate = self.cleaned_data["rate"]
        return given | {"tax_name": rate.name if rate else "", "tax_percent": rate.percent if rate else Decimal(0)}


ZERO_WHEN_EMPTY = ("discount_percent", "discount_amount", "setup_fee", "post_fee", "deposit_percent")

# How this shop charges: each group answers one question.
GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "Price",
        (
            "price_rule",
            "markup_percent",
            "cost_multiple",
            "price_per_ounce",
            "price_step",
            "shop_multiple",
            "customer_multiple",
        ),
    ),
    ("Put on by itself", ("rush_days", "rush_percent", "minimum_order")),
    (
        "What a bar costs",
        ("hourly_rate", "batch_minutes", "bar_minutes", "packaging_per_bar", "overhead_percent", "freight_rule"),
    ),
    ("Tax", ("tax_mode", "tax_rounding", "tax_number")),
    ("Deposit and days", ("deposit_percent", "quote_days", "deposit_days", "balance_days", "cut_off_days")),
    (
        "When an order is cancelled, the shop keeps",
        ("early_percent_of_deposit", "late_percent_of_deposit", "begun_percent_of_total"),
    ),
    ("Papers", ("paper_words", "shared_room_words")),
)
DAY_FIELDS = ("rush_days", "quote_days", "deposit_days", "balance_days", "cut_off_days")


class HouseTermsForm(forms.ModelForm):
    class Meta:
        model = HouseTerms
        fields = [name for _, names in GROUPS for name in names]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            if isinstance(field, forms.DecimalField | forms.IntegerField):
                field.widget = decimal_box(_unit(name))
                field.error_messages["invalid"] = "Type a figure such as 12.5."
                field.label = str(field.label).removesuffix(", percent").removesuffix(", days")
        self.helper = FormHelper()
        grouped = [Fieldset(title, *names) for title, names in GROUPS]
        self.helper.layout = Layout(*grouped, Submit("save", "Save how the shop charges"))


def _unit(name: str) -> str:
    if "percent" in name:
        return "%"
    if name in DAY_FIELDS:
        return "days"
    return "min" if name.endswith("_minutes") else ""


class TaxRateForm(forms.ModelForm):
    class Meta:
        model = TaxRate
        fields = ("name", "percent", "is_usual", "is_shelved")
        widgets = {"percent": decimal_box("%")}
        error_messages = {
            "name": {"required": "Give the rate a name, such as the place it is for."},
            "percent": {"required": "Type the percentage.", "invalid": "Type a percentage such as 8.25."},
        }

    def validate_constraints(self) -> None:
        """Leave "one usual rate" to the action, which moves the mark."""
