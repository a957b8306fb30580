"""What was found: kind, part, place, cause, which symptoms it explains, and what it makes of the customer's idea."""

import re
from collections.abc import Iterable, Mapping
from typing import Any

from django import forms

from intake.models import Order
from quotes.models import Finding
from shop.traveller.forms.diagnosis import short, text

EXPLAINED, NOT_EXPLAINED = "yes", "no"
_SYMPTOM = re.compile(r"symptom_\d{1,3}")


class SymptomsAsked(forms.Form):
    """A question for each symptom: does the finding explain it. Cleans to `explains` and `not_explained`."""

    symptoms: dict[str, str]

    def ask(self, symptoms: Iterable[str], answers: Mapping[str, str]) -> None:
        """One pair of answers for each symptom; `answers` has what was said of it before, by the symptom."""
        self.symptoms = {f"symptom_{number}": words for number, words in enumerate(dict.fromkeys(symptoms))}
        for name, words in self.symptoms.items():
            self.fields[name] = forms.ChoiceField(
                label=words,
                choices=[(EXPLAINED, "Explained"), (NOT_EXPLAINED, "Not explained")],
                widget=forms.RadioSelect,
                initial=answers.get(words),
                error_messages={"required": "Say whether the finding explains it."},
            )

    @property
    def symptom_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.symptoms]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        said = {words: cleaned.pop(name, "") for name, words in self.symptoms.items()}
        cleaned["explains"] = tuple(words for words, answer in said.items() if answer == EXPLAINED)
        cleaned["not_explained"] = tuple(words for words, answer in said.items() if answer == NOT_EXPLAINED)
        return cleaned


def said_of(finding: Finding | None) -> dict[str, str]:
    """What a finding said of each symptom, as `ask` takes it."""
    if finding is None:
        return {}
    return dict.fromkeys(finding.explains, EXPLAINED) | dict.fromkeys(finding.not_explained, NOT_EXPLAINED)


class FindingForm(SymptomsAsked):
    """What is wrong, in the customer's words. Without an idea of the customer's there is nothing to answer."""

    fault_class = text(
        "Kind of fault",
        60,
        required="Say what kind of fault it is.",
        widget=short(list="faults"),
    )
    part = text("Which part", 80, widget=short(size=12), help_text="As on the board, such as C2301.")
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
    suggested = forms.CharField(max_length=60, required=False, widget=forms.HiddenInput)
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)

    def __init__(
        self, *args: Any, order: Order, said: Mapping[str, str] | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **{"auto_id": "finding_%s", **kwargs})
        self.ask(order.symptoms, said or {})
        if not order.idea:
            del self.fields["idea_answer"], self.fields["idea_words"]

    @classmethod
    def is_kept(cls, name: str) -> bool:
        """Whether a field of a post is typed by hand, so that it is kept before the signature."""
        typed = name in cls.base_fields and name not in ("key", "suggested")
        return typed or _SYMPTOM.fullmatch(name) is not None


class SecondFaultForm(SymptomsAsked):
    """What else was found; its words go on a quote of its own. Asks of the symptoms nothing has explained so far."""

    fault_class = text(
        "Kind of fault", 60, required="Say what kind of fault it is.", widget=short(list="faults")
    )
    part = text("Which part", 80, widget=short(size=12))
    place = text("Where on the board", 120, widget=short())
    cause = text("What caused it", 200, widget=forms.TextInput)
    words = text(
        "What is wrong, in the customer's words",
        4000,
        required="Say what is wrong, in the customer's words.",
        help_text="Goes on the new quote as you write it here.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)

    def __init__(self, *args: Any, symptoms: Iterable[str], **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "second_%s", **kwargs})
        self.ask(symptoms, {})
