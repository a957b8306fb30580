"""Forms of the doors; pasting and password managers are welcome in each."""

from django import forms


def _password(label: str, kind: str, missing: str) -> forms.CharField:
    return forms.CharField(
        label=label, strip=False, max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": kind}), error_messages={"required": missing},
    )  # fmt: skip


class SignInForm(forms.Form):
    """Name and password. Whether they go together is not the form's to say."""

    username = forms.CharField(
        label="Your name here", max_length=150,
        widget=forms.TextInput(
            attrs={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false", "autofocus": True}
        ),
        error_messages={"required": "Type your name first."},
    )  # fmt: skip
    password = _password("Password", "current-password", "Type your password.")


class CodeForm(forms.Form):
    """The six digits that the phone shows."""

    code = forms.CharField(
        label="Code of your phone", max_length=20, help_text="Six digits, a new one every half minute.",
        widget=forms.TextInput(
            attrs={"autocomplete": "one-time-code", "inputmode": "numeric", "autofocus": True, "size": 12}
        ),
        error_messages={"required": "Type the six digits."},
    )  # fmt: skip


class ListCodeForm(forms.Form):
    """One line of the printed list."""

    code = forms.CharField(
        label="Recovery code", max_length=40, help_text="With the number before it, such as 3-ABCD-EFGH-JKL.",
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false", "autofocus": True}
        ),
        error_messages={"required": "Type one code of your printed list."},
    )  # fmt: skip


class AgainForm(forms.Form):
    password = _password("Your password", "current-password", "Type your password.")


class OwnPasswordForm(forms.Form):
    old_password = _password("Your password now", "current-password", "Type the password you have now.")
    password = _password("The new password", "new-password", "Type the new password.")
    password.help_text = "Twelve characters at least, and no common word. A few words in a row are good."
