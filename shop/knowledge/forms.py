"""Forms of good boards and meters."""

from typing import Any

from django import forms

from quotes.good_boards import GoodLine
from quotes.reading_text import UNITS
from shop.traveller.forms.diagnosis import StateField, StateSelect, short, text
from shop.traveller.supply import INJECTING, STATES

WAY_NAMES = {
    "ohms": "Ohms",
    "diode": "Diode, in volts",
    "volts": "Volts",
    "amps": "Amperes",
    "continuity": "Continuity, in ohms",
    "hertz": "Hertz",
    "celsius": "Degrees Celsius",
}


class GoodForm(forms.Form):
    """One reading of a good board in one line; the rest stays from line to line.

    `echoed` is the sentence the person has agreed to; `sentence` the one to agree to now, '' before the line was read.
    """

    specimen = text(
        "Good board", 60, required="Say which good board it is: its label.",
        widget=short(list="specimens"), help_text="Its label on the shelf. Each board counts once a point.",
    )  # fmt: skip
    board = text(
        "Board", 80, required="Say which board it is, as its print says.", widget=short(list="good-names")
    )
    revision = text("Revision", 40, widget=short(size=10))
    state = StateField(
        label="State of the board",
        required=False,
        choices=[choice for choice in STATES if choice[0] != INJECTING],
        widget=StateSelect,
    )
    meter = text("Meter", 40, widget=short(list="good-meters"))
    line = text(
        "Reading", 120, required="Type where, how and how much, such as: boost out d .452", widget=short(),
        help_text="Where, how, how much: boost out d .452. Ways: d, db, r, v, a, c, hz, t. Or OL, beep.",
    )  # fmt: skip
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)
    echoed = forms.CharField(required=False, widget=forms.HiddenInput)
    sentence = ""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "good_%s", **kwargs})

    def about(self) -> GoodLine:
        given = self.cleaned_data
        return GoodLine(given["specimen"], given["board"], given["revision"], given["state"], given["meter"])

    def is_agreed(self, sentence: str) -> bool:
        """Whether the person saw this sentence; if not, it is said now and agreed to by the next press."""
        if self.cleaned_data["echoed"] == sentence:
            return True
        self.sentence = sentence
        self.data = self.data.copy()
        self.data["echoed"] = sentence
        return False


class StrikeForm(forms.Form):
    """Why a reading does not count."""

    why = text("Why it does not count", 200, required="Say why it does not count.", widget=short())


class MeterForm(forms.Form):
    """A meter of the bench."""

    name = text("Name", 40, required="Give the meter a name, as it stands on its label.", widget=short())
    note = text("Note", 200, widget=short(), help_text="Which one it is, where it lies, when it was checked.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "meter_%s", **kwargs})


class OffsetForm(forms.Form):
    """By how much a meter reads too high in a way of measuring."""

    mode = forms.ChoiceField(label="Way", choices=[(mode, WAY_NAMES[mode]) for mode in UNITS])
    amount = text(
        "Reads too high by", 24, required="Type a number, 0 where it reads right.", widget=short(size=10),
        help_text="In the unit of the way, such as 0.004 or 4m. With a minus where it reads too low.",
    )  # fmt: skip
    why = text(
        "How it was found out", 200, required="Say how it was found out.", widget=short(),
        help_text="Such as: same board beside the other meter, leads held together, a known resistor.",
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "offset_%s", **kwargs})
