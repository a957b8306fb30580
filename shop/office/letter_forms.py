"""What a person types about a letter that is stuck."""

from django import forms


class AddressForm(forms.Form):
    to = forms.EmailField(
        label="The address, if it was mistyped",
        max_length=254,
        help_text="Ask the customer first: the link to their order goes there, and so does every letter from now on.",
        widget=forms.EmailInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
        error_messages={
            "required": "Type the address the letter should go to.",
            "invalid": "That is not a whole e-mail address. It looks like name@example.com.",
            "max_length": "That e-mail address is too long.",
        },
    )
