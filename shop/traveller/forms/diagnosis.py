"""Forms of station 30: one reading in one line; and what was found."""

from typing import Any

from django import forms

from intake.models import Order
from quotes.models import Finding
from quotes.verdicts import HIGH, LOW, OK, OPEN, SHORT, UNSTABLE

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


class ReadingForm(forms.Form):
    """Where, how and how much in one line; the rest may stay empty."""

    line = text(
        "Reading",
        120,
        required="Type where, how and how much, such as: boost out d .452",
        help_text="Where, how, how much: boost out d .452. Ways: d, db, r, v, a, c, hz, t. Or OL, beep, unstable.",
        widget=short(),
    )
    low = text("Should be at least", 24, widget=short(size=8))
    high = text("At most", 24, widget=short(size=8))
    expected_from = text(
        "Known from", 80, widget=short(), help_text="Own good boards, other channel, a guess."
    )
    state = text(
        "State", 60, widget=short(), help_text="Unpowered, battery out; or on supply, with its limit."
    )
    board = text("Board", 80, widget=short(), help_text="Revision and side.")
    meter = text("Meter", 40, widget=short())
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

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "reading_%s", **kwargs})

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("verdict") and not cleaned.get("verdict_why"):
            self.add_error("verdict_why", "Say why the rule is overruled.")
        return cleaned


class FindingForm(forms.Form):
    """What is wrong, in the customer's words. Without an idea of the customer's there is nothing to answer."""

    fault_class = text(
        "Kind of fault",
        60,
        required="Say what kind of fault it is.",
        widget=short(list="faults"),
    )
    place = text("Where on the board", 120, widget=short())
    cause = text("What caused it", 200, widget=forms.TextInput)
    words = text(
        "What is wrong, in the customer's words",
        4000,
        required="Say what is wrong, in the customer's words.",
        help_text="Goes on the quote as you write it here.",
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    idea_answer = forms.ChoiceField(
        label="Was the customer's idea right?",
        choices=[
            (Finding.Idea.RIGHT, "Right"),
            (Finding.Idea.PARTLY, "Partly"),
            (Finding.Idea.NOT, "Not the cause"),
        ],
        widget=forms.RadioSelect,
        error_messages={"required": "The customer named a cause. Say whether it was right."},
    )
    idea_words = text("In words, for them", 400, widget=forms.Textarea(attrs={"rows": 2}))
    mendable = forms.ChoiceField(
        label="Can it be mended?",
        choices=Finding.Mendable.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Say whether it can be mended."},
    )
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)

    def __init__(self, *args: Any, order: Order, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "finding_%s", **kwargs})
        if not order.idea:
            del self.fields["idea_answer"], self.fields["idea_words"]
