from functools import cache
from typing import Any
from zoneinfo import available_timezones

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout, Submit
from django import forms
from django.contrib.auth.forms import BaseUserCreationForm

from soapshop.models import User, Workshop
from soapshop.money import MINOR_PLACES
from soapshop.people_forms import PASSWORDS_DIFFER, password_boxes
from soapshop.widgets import LongSelect


def time_zone_choices(present: str = "") -> list[tuple[str, str]]:
    """Return the zones by area and city, without the old short names; what is chosen now stays in the list."""
    names = sorted(_zones_by_city() | {"UTC"} | ({present} - {""}))
    return [(name, name.replace("_", " ")) for name in names]


@cache
def _zones_by_city() -> frozenset[str]:
    """Read from the disk once, about 20 ms."""
    return frozenset(
        name for name in available_timezones() if "/" in name and not name.startswith(("Etc/", "SystemV/"))
    )


class FirstOwnerForm(BaseUserCreationForm):
    """The shop's first account and the two facts that the first page needs."""

    workshop_name = forms.CharField(label="Name of your workshop", max_length=80)
    first_name = forms.CharField(label="Your name", max_length=150)
    time_zone = forms.ChoiceField(label="Time zone", help_text="Days and hours are counted in it.", widget=LongSelect)
    password1, password2 = password_boxes("Password", "Password confirmation")
    error_messages = {"password_mismatch": PASSWORDS_DIFFER}

    class Meta:
        model = User
        fields = ("username",)
        labels = {"username": "Name to sign in with"}
        help_texts = {"username": "Letters, digits and @ . + - _ only."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["time_zone"].choices = time_zone_choices()  # type: ignore[attr-defined]
        self.fields["time_zone"].initial = Workshop._meta.get_field("time_zone").default
        self.helper = FormHelper()
        self.helper.layout = Layout(
            "workshop_name",
            "time_zone",
            "first_name",
            "username",
            "password1",
            "password2",
            Submit("open", "Open the shop"),
        )


# How this workshop works: each group answers one question.
SETTINGS_GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("The workshop", ("name", "email", "phone", "website", "time_zone")),
    ("On labels and papers", ("maker_name", "street", "city_line", "country", "prints_street", "shared_room_words")),
    ("Market and units", ("market", "declaration_style", "currency", "mass_unit", "paper_size")),
    ("Time to cure and pack", ("cure_days", "least_cure_days", "pack_days", "in_hand_days")),
    ("Spares, lye and scent", ("bar_spare_percent", "bar_spare_least", "least_superfat_percent", "most_scent_percent")),
    (
        "What the scales can show",
        ("lye_scale_step_grams", "fat_scale_step_grams", "dose_scale_step_grams", "minor_scale_step_grams"),
    ),
    (
        "How far a weight may be off",
        (
            "alkali_tolerance_percent",
            "fat_tolerance_percent",
            "liquid_tolerance_percent",
            "dose_tolerance_percent",
            "minor_tolerance_percent",
        ),
    ),
    (
        "How much of a batch may go missing, or be too much",
        (
            "poured_low_percent",
            "poured_high_percent",
            "cut_low_percent",
            "cut_high_percent",
            "good_bars_low_percent",
            "good_bars_high_percent",
        ),
    ),
    ("Stores", ("releases_lots_on_receipt",)),
    ("For an accident", ("eyewash_place", "emergency_number", "poison_center_number")),
)


# What stands beside the box of a figure, by the end of its name; the label then leaves it out.
UNITS = {"_grams": ("g", " grams"), "_percent": ("%", " percent")}


class WorkshopForm(forms.ModelForm):
    currency = forms.ChoiceField(choices=[(code, code) for code in MINOR_PLACES])
    time_zone = forms.ChoiceField(widget=LongSelect)

    class Meta:
        model = Workshop
        fields = [name for _, names in SETTINGS_GROUPS for name in names]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["time_zone"].choices = time_zone_choices(self.instance.time_zone)  # type: ignore[attr-defined]
        for name, field in self.fields.items():
            if isinstance(field, forms.IntegerField | forms.DecimalField):
                _show_as_text(name, field)
        self.helper = FormHelper()
        grouped = [Fieldset(title, *names) for title, names in SETTINGS_GROUPS]
        self.helper.layout = Layout(*grouped, Submit("save", "Save the settings"))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        # Over a copy: a field with a fault leaves the dictionary.
        for name, figure in tuple(cleaned.items()):
            if name.endswith("_step_grams") and figure <= 0:
                self.add_error(name, "A scale shows steps of more than 0 g. Type a step such as 0.1.")
            most = 200 if name.endswith("_high_percent") else 100
            if name.endswith("_percent") and figure is not None and not 0 <= figure <= most:
                self.add_error(name, f"Type a percentage from 0 to {most}.")
        for point in ("poured", "cut", "good_bars"):
            low, high = cleaned.get(f"{point}_low_percent"), cleaned.get(f"{point}_high_percent")
            if low is not None and high is not None and low >= high:
                self.add_error(f"{point}_low_percent", "The lower limit lies below the upper one. Swap the two.")
        return cleaned


def _show_as_text(name: str, field: forms.Field) -> None:
    """Give a figure a plain box: a browser's number box drops what was typed when it is not a number."""
    is_whole = type(field) is forms.IntegerField
    box = forms.TextInput(attrs={"inputmode": "numeric" if is_whole else "decimal", "class": "narrow"})
    box.is_required = field.required
    for ending, (unit, words) in UNITS.items():
        if name.endswith(ending):
            box.attrs["data-unit"] = unit
            field.label = str(field.label).removesuffix(words)
    field.widget = box
