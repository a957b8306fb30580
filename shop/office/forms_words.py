"""Forms of the shop's lists: a new word, another name, what a rail carries, and what a double is merged into."""

from typing import Any

from django import forms

from quotes.list_words import LONGEST, ON_A_BOARD, POINT
from shop.office.editing import Number, Words

PLAIN = {"autocomplete": "off", "autocapitalize": "off", "spellcheck": "false"}
TOO_LONG = "Please keep this under %(limit_value)d characters; it has %(show_value)d."


def word(label: str, *, required: str = "", **attrs: Any) -> Words:
    return Words(
        label=label, max_length=LONGEST, required=bool(required),
        widget=forms.TextInput(attrs={**PLAIN, **attrs}),
        error_messages={"required": required or "Please fill this in.", "max_length": TOO_LONG},
    )  # fmt: skip


def volts() -> Number:
    return Number(
        label="Carries, in volts", required=False, max_digits=8, decimal_places=3, min_value=None,
        help_text="Of a rail: what it carries when all is well.",
        error_messages={"max_decimal_places": "Three places after the point are enough."},
    )  # fmt: skip


class AddWordForm(forms.Form):
    """A new word of one kind; on a board for revisions and points."""

    name = word("New word", required="Type the word first.")
    board = word("On which board", list="boards")
    nominal_volts = volts()

    def __init__(self, *args: Any, kind: str, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "add_%s", **kwargs})
        if kind not in ON_A_BOARD:
            del self.fields["board"]
        if kind != POINT:
            del self.fields["nominal_volts"]


class RenameForm(forms.Form):
    name = word("Call it", required="Type the new name first.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "rename_%s", **kwargs})


class VoltsForm(forms.Form):
    nominal_volts = volts()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "volts_%s", **kwargs})


class MergeForm(forms.Form):
    """The one that stays, by its name."""

    into = word("It is the same as", required="Type the one that stays.", list="others")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "merge_%s", **kwargs})
