"""The form at the door."""

from django import forms
from django.contrib.auth.forms import AuthenticationForm


class SignInForm(AuthenticationForm):
    """Name and password; pasting and password managers are welcome."""

    error_messages = {
        "invalid_login": "That name and password do not go together. Please try again.",
        "inactive": "That name and password do not go together. Please try again.",
    }

    username = forms.CharField(
        label="Your name here",
        max_length=150,
        widget=forms.TextInput(
            attrs={
                "autocomplete": "username",
                "autocapitalize": "none",
                "spellcheck": "false",
                "autofocus": True,
            }
        ),
        error_messages={"required": "Type your name first."},
    )
    password = forms.CharField(
        label="Password",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        error_messages={"required": "Type your password."},
    )
