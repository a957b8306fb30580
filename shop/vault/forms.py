"""Forms of the vault. A code that was typed is never sent back to the page, right or wrong."""

from django import forms

NOT_KEPT = "For safety the code was not kept on this page. Please type it again."


class GiveCodeForm(forms.Form):
    shape = forms.ChoiceField(
        label="What kind of code is it?",
        choices=[
            ("digits", "Digits"),
            ("word", "A password"),
            ("pattern", "A pattern of dots"),
        ],
        widget=forms.RadioSelect,
        error_messages={"required": "Say what kind of code it is."},
    )
    unlock_code = forms.CharField(
        label="The code",
        help_text="A pattern: the dots it goes through, 1 2 3 for the top row, then 4 5 6, then 7 8 9.",
        max_length=100,
        strip=False,
        widget=forms.PasswordInput(
            attrs={
                "autocomplete": "off",
                "autocapitalize": "none",
                "spellcheck": "false",
                "data-private": "yes",
            }
        ),
        error_messages={"required": "Please type the code first."},
    )


class ShowCodeForm(forms.Form):
    reason = forms.CharField(
        label="Which test needs it?",
        help_text="The customer reads this.",
        max_length=200,
        error_messages={"required": "Say which test needs it. The customer reads the reason."},
    )
