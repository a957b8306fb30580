"""What a customer can send from the window."""

from collections.abc import Sequence
from typing import Any

from django import forms

from intake import codes, questions
from intake.models import Order
from intake.wording import day_year
from quotes.consents import Consent
from quotes.models import Quote
from shop.window.bill import Block, blocks_of
from shop.window.words import moment_in_zone

ASK = "ask"
KEY = forms.CharField(max_length=64, widget=forms.HiddenInput)


class LostLinkForm(forms.Form):
    code = forms.CharField(
        label="Order code",
        max_length=20,
        help_text="Eight letters and digits, on your shipping form and in every letter from us.",
        error_messages={"required": "Please type the order code."},
        widget=forms.TextInput(attrs={"autocapitalize": "characters", "autocomplete": "off", "size": 12}),
    )
    email = forms.EmailField(
        label="E-mail address",
        max_length=254,
        help_text="The one you gave on the request.",
        error_messages={
            "required": "Please type your e-mail address.",
            "invalid": "That does not look like an e-mail address.",
        },
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )

    def clean_code(self) -> str:
        code = codes.normalise(self.cleaned_data["code"])
        if code is None:
            raise forms.ValidationError(
                "That is no order code of ours. Please look again: a letter or digit may be wrong."
            )
        return code


class PostedForm(forms.Form):
    tracking = forms.CharField(
        label="Tracking number",
        max_length=40,
        required=False,
        help_text="On the receipt of the post. Leave it empty if you have none.",
        error_messages={"max_length": "A tracking number has at most 40 letters and digits."},
        widget=forms.TextInput(
            attrs={"autocapitalize": "characters", "autocomplete": "off", "spellcheck": "false"}
        ),
    )


class VersionForm(forms.Form):
    """An act that changes the station: it carries the version of the sheet that the person saw."""

    version = forms.IntegerField(min_value=1, max_value=2_000_000_000, widget=forms.HiddenInput)


class QuestionForm(forms.Form):
    form_key = KEY
    text = forms.CharField(
        label="Your message",
        error_messages={"required": "Please write your message first."},
        widget=forms.Textarea(attrs={"rows": 4}),
    )

    def clean_text(self) -> str:
        words: str = self.cleaned_data["text"]
        if len(words) > questions.LONGEST:
            raise forms.ValidationError(
                f"Please keep it under {questions.LONGEST} characters; this has {len(words)}."
            )
        return words


class ChoiceForm(forms.Form):
    """The first half of the answer: which choice, and what more with it. It decides nothing; nothing is ticked before."""

    quote = forms.CharField(max_length=64, widget=forms.HiddenInput)
    choice = forms.ChoiceField(
        label="Your answer",
        widget=forms.RadioSelect,
        error_messages={
            "required": "Please pick one of the answers.",
            "invalid_choice": "Please pick one of the answers.",
        },
    )
    extras = forms.MultipleChoiceField(
        label="If you like, with it",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "One of the extras is not offered. Please look at them again."},
    )

    def __init__(self, *args: Any, shown: Quote, **more: Any) -> None:
        super().__init__(*args, **more)
        self.blocks = blocks_of(shown)
        self.fields["choice"].choices = [  # type: ignore[attr-defined]
            *[(block.offered.choice, block.offered.label) for block in self.blocks],
            (ASK, "I have a question first"),
        ]
        self.fields["extras"].choices = [  # type: ignore[attr-defined]
            (f"{block.offered.choice}:{extra.key}", extra.text)
            for block in self.blocks
            for extra in block.offered.extras
        ]
        self.fields["quote"].initial = shown.digest
        self.until = until(shown)

    def answers(self) -> list[dict[str, Any]]:
        """Each answer with its button, what it means, and the boxes of the extras that go with it."""
        boxes = list(self["extras"])
        known: list[Block | None] = [*self.blocks, None]
        return [
            {
                "radio": radio,
                "block": block,
                "extras": [
                    {"box": box, "extra": extra}
                    for extra in (block.offered.extras if block else ())
                    for box in boxes
                    if box.data["value"] == f"{block.offered.choice if block else ''}:{extra.key}"
                ],
            }
            for radio, block in zip(self["choice"], known, strict=True)
        ]

    def taken(self) -> list[str]:
        """The extras ticked under the answer that was picked; ticks under the others do not count."""
        mine = f"{self.cleaned_data['choice']}:"
        return sorted(key.removeprefix(mine) for key in self.cleaned_data["extras"] if key.startswith(mine))


def until(quote: Quote) -> str:
    return f"The quote stands until {day_year(moment_in_zone(quote.valid_until))} while we talk."


class AnswerForm(forms.Form):
    """The second half: the name that stands for a signature, and each consent on its own, never ticked before."""

    quote = forms.CharField(max_length=64, widget=forms.HiddenInput)
    choice = forms.CharField(max_length=8, widget=forms.HiddenInput)
    extras = forms.CharField(max_length=40, required=False, widget=forms.HiddenInput)
    typed_name = forms.CharField(
        label="Your name",
        max_length=120,
        help_text="Typed here, it stands for your signature.",
        error_messages={"required": "Please type your name. It stands for your signature."},
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )

    def __init__(self, *args: Any, consents: Sequence[Consent], **more: Any) -> None:
        super().__init__(*args, **more)
        self.asked = list(consents)
        for consent in self.asked:
            self.fields[consent.key] = forms.BooleanField(
                label=consent.words, help_text=consent.under, error_messages={"required": consent.missing}
            )
        # The name comes last: it signs what stands above it.
        self.fields["typed_name"] = self.fields.pop("typed_name")

    def ticked(self) -> list[Consent]:
        return [consent for consent in self.asked if self.cleaned_data.get(consent.key)]


def extras_in(words: str) -> list[str]:
    """The keys of the hidden field, as they came: 'e1,e2'."""
    return sorted({key for key in words.split(",") if key})


def version_form(order: Order) -> VersionForm:
    return VersionForm(initial={"version": order.version})
