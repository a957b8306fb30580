"""What a customer can send from the window."""

from typing import Any

from django import forms

from intake import codes, questions
from intake.answers import Answer
from intake.models import Order
from intake.wording import day_year
from quotes.models import Quote
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
    """The first half of the answer: which choice. It decides nothing."""

    quote = forms.CharField(max_length=64, widget=forms.HiddenInput)
    choice = forms.ChoiceField(
        label="Your answer",
        widget=forms.RadioSelect,
        error_messages={
            "required": "Please pick one of the answers.",
            "invalid_choice": "Please pick one of the answers.",
        },
    )

    def __init__(self, *args: Any, shown: Quote, said: dict[str, str], **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["choice"].choices = [  # type: ignore[attr-defined]
            *[
                (choice["choice"], Answer(choice["label"], said[choice["choice"]]))
                for choice in shown.shown["choices"]
            ],
            (ASK, Answer("I have a question first", until(shown))),
        ]
        self.fields["quote"].initial = shown.digest


def until(quote: Quote) -> str:
    return f"The quote stands until {day_year(moment_in_zone(quote.valid_until))} while we talk."


class AnswerForm(forms.Form):
    """The second half: the name that stands for a signature, and each consent on its own, never ticked before."""

    quote = forms.CharField(max_length=64, widget=forms.HiddenInput)
    choice = forms.CharField(max_length=8, widget=forms.HiddenInput)
    typed_name = forms.CharField(
        label="Your name",
        max_length=120,
        help_text="Typed here, it stands for your signature.",
        error_messages={"required": "Please type your name. It stands for your signature."},
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )
    wipe = forms.BooleanField(
        label="Yes, wipe it and recycle it. I know that nothing comes back, the data neither.",
        error_messages={"required": "Please tick that we may wipe and recycle it."},
    )
    start = forms.BooleanField(
        label="Yes, start before my time to withdraw is over.",
        error_messages={"required": "Please tick that we may start now, or ask us to wait."},
    )

    def __init__(self, *args: Any, choice: str, withdrawal_words: str = "", **more: Any) -> None:
        super().__init__(*args, **more)
        if choice != "recycle":
            del self.fields["wipe"]
        if choice != "mend" or not withdrawal_words:
            del self.fields["start"]
        else:
            self.fields["start"].help_text = withdrawal_words

    def consents(self) -> list[str]:
        return [name for name in ("wipe", "start") if self.cleaned_data.get(name)]


def version_form(order: Order) -> VersionForm:
    return VersionForm(initial={"version": order.version})
