"""The form of a key to read with."""

from django import forms

from shop.office.editing import Words


class KeyForm(forms.Form):
    name = Words(
        label="Who reads with it", max_length=60,
        help_text="A program or a person, such as Bookkeeping. One key for each, so that each can be ended alone.",
        error_messages={"required": "Say which program or person the key is for."},
    )  # fmt: skip
