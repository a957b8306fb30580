"""Data and lock, the battery, the box, the sum that may be spent without asking, and photos."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from intake import cells, request_words, wording
from intake.answers import Answer
from intake.forms.fields import Amount, OneOf, StepForm, Ticks, Words, as_choices
from intake.request_words import NOTHING_SEEN, NOTHING_SEEN_WORDS, said_wish

_LOCK_MEANS = {
    "test without": "What most people choose. Most tests need no code.",
    "ask": "We ask first. You never write a code down.",
}


class DataForm(StepForm):
    data_wish = OneOf(
        label="Do you need what is on it?",
        choices=request_words.DATA_WISH.items(),
        error_messages={"required": "Say whether you need what is on it."},
    )
    backed_up = OneOf(label="Is it backed up?", required=False, choices=request_words.BACKED_UP.items())
    lock_wish = OneOf(
        label="How may we test it?",
        initial="test without",
        choices=[
            (key, Answer(words, _LOCK_MEANS[key]) if key in _LOCK_MEANS else words)
            for key, words in request_words.LOCK_WISH.items()
        ],
        error_messages={"required": "Choose how we may test it."},
    )

    def said(self) -> list[tuple[str, str]]:
        given = self.cleaned_data
        return [
            ("What is on it", said_wish(request_words.DATA_WISH, given["data_wish"])),
            ("Backed up", said_wish(request_words.BACKED_UP, given["backed_up"])),
            ("Lock", said_wish(request_words.LOCK_WISH, given["lock_wish"])),
        ]


class BatteryForm(StepForm):
    """Any sign at all means that the device must not be posted: `judge` says so."""

    lists = ("signs",)
    signs = Ticks(
        label="Do you see, smell or hear any of this?",
        choices=[*cells.SIGNS.items(), (NOTHING_SEEN, NOTHING_SEEN_WORDS)],
        help_text="Look without pressing it and without opening it. In doubt, tick the sign.",
        error_messages={"required": "Tick what you see, or the last line if you see none of it."},
    )

    def cell_signs(self) -> list[str]:
        return [sign for sign in self.cleaned_data["signs"] if sign != NOTHING_SEEN]

    def judge(self) -> cells.Verdict:
        return cells.judge_signs(self.cell_signs())

    def said(self) -> list[tuple[str, str]]:
        signs = self.cell_signs()
        words = [cells.SIGNS[sign] for sign in signs] if signs else [NOTHING_SEEN_WORDS]
        return [("Signs at the battery", ", ".join(words))]


class BoxForm(StepForm):
    lists = ("in_the_box",)
    in_the_box = Ticks(
        label="What will you put in?",
        choices=as_choices(request_words.IN_THE_BOX),
        initial=["The device"],
        error_messages={"required": "Tick at least one thing that goes into the box."},
    )
    other = Words(label="Anything else", most=120, required=False)
    declared_value = Amount(
        label="What is it worth to you?",
        help_text="For the post's cover on the way back. It changes no price.",
    )

    def build(self) -> None:
        self.fields["declared_value"].currency = self.head.currency
        self.fields["declared_value"].label = f"What is it worth to you, in {self.head.currency}?"

    def contents(self) -> list[str]:
        other = self.cleaned_data["other"]
        return [*self.cleaned_data["in_the_box"], *([other] if other else [])]

    def said(self) -> list[tuple[str, str]]:
        value = self.cleaned_data["declared_value"]
        worth = wording.money(value, self.head.currency, self.head.locale) if value is not None else ""
        return [("In the box", ", ".join(self.contents())), ("Worth", worth)]


class LimitForm(StepForm):
    standing_limit = Amount(
        label="Start without asking up to",
        help_text="The whole sum you would pay, with tax and return post. One cent above it and we ask first.",
    )

    def build(self) -> None:
        self.fields["standing_limit"].currency = self.head.currency
        self.fields["standing_limit"].label = f"Start without asking up to, in {self.head.currency}"

    def said(self) -> list[tuple[str, str]]:
        limit = self.cleaned_data["standing_limit"]
        words = "Always ask me first"
        if limit is not None:
            sum_ = wording.money(limit, self.head.currency, self.head.locale)
            words = f"You may start without asking up to {sum_} in all"
        return [("Before work starts", words)]


class _ManyFiles(forms.ClearableFileInput):
    allow_multiple_selected = True


class PhotosForm(StepForm):
    """The files themselves are judged one by one when they are kept: see `intake.views.photos`."""

    photos = forms.FileField(
        label="Choose photos",
        required=False,
        help_text="JPEG, PNG, WebP or HEIC, up to 15 MB each and 8 in all. The place where they were taken is removed.",
        widget=_ManyFiles(attrs={"accept": "image/*,.heic,.heif", "multiple": True}),
    )

    def __init__(self, *args: Any, count: int = 0, **kwargs: Any) -> None:
        self.count = count
        super().__init__(*args, **kwargs)

    def names(self) -> list[str]:
        return []

    def add_fault(self, sentence: str) -> None:
        self.add_error("photos", ValidationError(sentence))

    def said(self) -> list[tuple[str, str]]:
        return [("Photos", wording.count(self.count, "photo") if self.count else "")]
