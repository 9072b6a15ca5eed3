"""Forms about people: signing in, a person's account, and passwords."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, Submit
from django import forms
from django.contrib.auth import password_validation
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.utils.functional import lazy

from soapshop.models import User
from soapshop.passwords import made_up_password

PASSWORDS_DIFFER = "The two passwords differ. Type the same one twice."


def _rules() -> str:
    return " ".join(password_validation.password_validators_help_texts())


# Read when a form is shown: the list of common passwords takes a while to load.
RULES = lazy(_rules, str)


def password_boxes(label: str, again: str) -> tuple[forms.CharField, forms.CharField]:
    """Return the pair of boxes for a password that its own person chooses."""

    def box(label: str, help_text: Any) -> forms.CharField:
        widget = forms.PasswordInput(attrs={"autocomplete": "new-password"})
        return forms.CharField(label=label, strip=False, widget=widget, help_text=help_text)

    return box(label, RULES()), box(again, "The same once more.")


class SignInForm(AuthenticationForm):
    error_messages = {
        "invalid_login": "This name and this password do not belong together. Type both again; capitals count.",
        "inactive": "This account is closed. Ask an owner of the shop to open it again.",
    }


class OwnPasswordForm(PasswordChangeForm):
    """The present password, and the new one twice."""

    error_messages = {
        "password_incorrect": "This is not your present password. Type it again; capitals count.",
        "password_mismatch": PASSWORDS_DIFFER,
    }
    new_password1, new_password2 = password_boxes("New password", "New password again")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["old_password"].label = "Present password"
        self.helper = FormHelper()
        self.helper.layout = Layout(
            "old_password", "new_password1", "new_password2", Submit("save", "Change the password")
        )


class PersonForm(forms.Form):
    """What may be changed about a person who has an account."""

    first_name = forms.CharField(
        label="Name", max_length=150, help_text="It stands in the book beside what this person did."
    )
    last_name = forms.CharField(label="Last name", max_length=150, required=False)
    role = forms.ChoiceField(
        choices=User.Role.choices,
        widget=forms.RadioSelect,
        initial=User.Role.MAKER,
        help_text="A maker does everything except approve formulas, release batches and change the settings.",
    )
    button = "Save"

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.layout = Layout(*self.fields, Submit("save", self.button))


def handed_password_box() -> forms.CharField:
    """Return a box in plain sight for a password that an owner sets and passes on."""
    return forms.CharField(
        label="Password",
        max_length=128,
        strip=False,
        initial=made_up_password,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none", "spellcheck": "false"}),
        help_text="Made up just now; type another if you like. Note it and pass it on: it is not shown again.",
    )


class NewPersonForm(PersonForm):
    """A person who gets an account, with the password of the first sign-in."""

    username = forms.CharField(
        label="Name to sign in with",
        max_length=150,
        validators=[UnicodeUsernameValidator()],
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none", "spellcheck": "false"}),
        help_text="Letters, digits and @ . + - _ only.",
    )
    password = handed_password_box()
    field_order = ("first_name", "last_name", "username", "password", "role")
    button = "Add this person"

    def clean(self) -> dict[str, Any]:
        """Judge the password against the names typed beside it."""
        cleaned = super().clean() or self.cleaned_data
        names = {name: cleaned.get(name, "") for name in ("username", "first_name", "last_name")}
        if "password" in cleaned:
            try:
                password_validation.validate_password(cleaned["password"], User(**names))
            except forms.ValidationError as refusal:
                self.add_error("password", refusal)
        return cleaned


class HandedPasswordForm(forms.Form):
    """A new password for somebody who has forgotten theirs."""

    password = handed_password_box()

    def __init__(self, *args: Any, person: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person
        self.helper = FormHelper()
        self.helper.layout = Layout("password", Submit("save", "Set this password"))

    def clean_password(self) -> str:
        password: str = self.cleaned_data["password"]
        password_validation.validate_password(password, self.person)
        return password
