"""The form of one reading in one line; and how the forms of the bench make their text fields."""

from typing import Any

from django import forms

from quotes.verdicts import HIGH, LOW, OK, OPEN, SHORT, UNSTABLE
from shop.traveller.supply import STATES

TOO_LONG = "Please keep this under %(limit_value)d characters; it has %(show_value)d."
PLAIN = {"autocomplete": "off", "autocapitalize": "off", "spellcheck": "false"}


def text(label: str, longest: int, *, required: str = "", **more: Any) -> forms.CharField:
    """A text field whose errors are sentences; `required` is the sentence for an empty one, "" makes it optional."""
    wrong = {"max_length": TOO_LONG, "required": required or "Please fill this in."}
    return forms.CharField(
        label=label, max_length=longest, required=bool(required), error_messages=wrong, **more
    )


def short(**attrs: Any) -> forms.TextInput:
    return forms.TextInput(attrs={**PLAIN, **attrs})


SIDES = [("", "Not said"), ("top", "Top"), ("bottom", "Bottom")]


class StateField(forms.ChoiceField):
    """A state of the list, or one that was written in words before there was a list: it stays what it was."""

    def valid_value(self, value: Any) -> bool:
        return len(str(value)) <= 60 and "\x00" not in str(value)


class StateSelect(forms.Select):
    """Shows a state that is not on the list as a choice of its own."""

    def optgroups(self, name: str, value: list[str], attrs: dict[str, Any] | None = None) -> list[Any]:
        known = {str(key) for key, _ in self.choices}
        kept = self.choices
        self.choices = [*kept, *((word, word) for word in value if word and word not in known)]
        try:
            return super().optgroups(name, value, attrs)
        finally:
            self.choices = kept


class ReadingForm(forms.Form):
    """Where, how and how much in one line; what stays from the last reading; limits and a verdict on purpose only.

    `echoed` is the sentence the person has agreed to; `focused` puts the cursor into the line without script.
    """

    line = text(
        "Reading",
        120,
        required="Type where, how and how much, such as: boost out d .452",
        help_text="Where, how, how much: boost out d .452. Ways: d, db, r, v, a, c, hz, t. Or OL, beep, unstable.",
        widget=short(list="reading-points", enterkeyhint="done"),
    )
    state = StateField(label="State of the board", required=False, choices=STATES, widget=StateSelect)
    supply_volts = text("Supply, volts", 12, widget=short(size=6))
    supply_amps = text("Its limit, amperes", 12, widget=short(size=6))
    nominal = text(
        "This point carries, volts", 12, widget=short(size=6), help_text="When all is well. Nothing above it."
    )
    board = text("Board", 80, widget=short(list="reading-boards"))
    revision = text("Revision", 40, widget=short(size=10))
    side = forms.ChoiceField(label="Side", required=False, choices=SIDES)
    meter = text("Meter", 40, widget=short(list="reading-meters"))
    low = text("Should be at least", 24, widget=short(size=8))
    high = text("At most", 24, widget=short(size=8))
    expected_from = text(
        "Limits known from",
        80,
        widget=short(list="reading-sources"),
        help_text="Schematic, other channel of the same board, a guess. Leave all three empty for own good boards.",
    )
    verdict = forms.ChoiceField(
        label="Verdict",
        required=False,
        choices=[
            ("", "As the rule says"),
            *((word, word.capitalize()) for word in (OK, LOW, HIGH, SHORT, OPEN, UNSTABLE)),
        ],
    )
    verdict_why = text("Why it is overruled", 180, widget=short())
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)
    instead_of = forms.IntegerField(required=False, widget=forms.HiddenInput)
    echoed = forms.CharField(max_length=2000, required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, focused: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "reading_%s", **kwargs})
        if focused:
            self.fields["line"].widget.attrs["autofocus"] = True

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("verdict") and not cleaned.get("verdict_why"):
            self.add_error("verdict_why", "Say why the rule is overruled.")
        return cleaned
