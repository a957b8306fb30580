"""The two forms of the count of the bags."""

from django import forms


class BagForm(forms.Form):
    """One bag at a time; Enter sends it."""

    bag = forms.CharField(
        label="Bag",
        max_length=60,
        error_messages={"required": "Scan the label of a bag, or type its number."},
        help_text="Scan its label, or type its number and press Enter.",
        widget=forms.TextInput(
            attrs={
                "autofocus": True,
                "autocomplete": "off",
                "autocapitalize": "characters",
                "spellcheck": "false",
                "enterkeyhint": "next",
            }
        ),
    )


class CountForm(forms.Form):
    """The signature under the count."""

    note = forms.CharField(label="A word about what differs", max_length=300, required=False)
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)
