"""Forms of the people who work here."""

from django import forms

from intake.models import Person
from intake.staffing import Particulars
from shop.office.editing import Words


def _password() -> forms.CharField:
    return forms.CharField(
        label="Password", strip=False, max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="Twelve characters at least, and no common word. Hand it over in person.",
        error_messages={"required": "Type a password."},
    )  # fmt: skip


class PersonForm(forms.Form):
    """What is written down of a person."""

    first_name = Words(label="First name", max_length=150)
    last_name = Words(label="Last name", max_length=150, required=False)
    initials = Words(label="Initials", max_length=4, help_text="What stands beside a signature on the sheet.")
    email = forms.EmailField(label="E-mail", required=False, max_length=254)
    role = forms.ChoiceField(
        label="Role", choices=Person.Role.choices, widget=forms.RadioSelect,
        help_text="A technician sees no costs and no margins. An owner sees and decides everything.",
    )  # fmt: skip

    def particulars(self) -> Particulars:
        given = self.cleaned_data
        return Particulars(
            given["first_name"], given["last_name"], given["initials"].upper(), given["role"], given["email"]
        )


class NewPersonForm(PersonForm):
    username = forms.RegexField(
        r"^[\w.@+-]+$", label="Name to sign in with", max_length=150,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none", "spellcheck": "false"}),
        error_messages={"invalid": "Letters, digits and the signs . @ + - _ only."},
    )  # fmt: skip
    password = _password()
    field_order = ["username", "first_name", "last_name", "initials", "email", "role", "password"]


class PasswordForm(forms.Form):
    password = _password()
