"""The form of station 50: an answer that came by phone or in person, noted by staff."""

from typing import Any

from django import forms

from intake.answers import Answer
from quotes.models import Decision, Quote
from shop.traveller.forms.diagnosis import text
from shop.window.bill import under_choices


class NotedAnswerForm(forms.Form):
    """Who said what, and how. `looked_at` is the digest of the quote that was on the screen, and read out."""

    looked_at = forms.CharField(max_length=64, widget=forms.HiddenInput)
    choice = forms.ChoiceField(
        label="What they said",
        widget=forms.RadioSelect,
        error_messages={"required": "Say what they answered."},
    )
    channel = forms.ChoiceField(
        label="How they said it",
        choices=[(Decision.Channel.PHONE, "By phone"), (Decision.Channel.PERSON, "In person")],
        widget=forms.RadioSelect,
        error_messages={"required": "Say how the answer came."},
    )
    typed_name = text("Who said it", 120, required="Write the name of the person who answered.")
    read_out = forms.BooleanField(
        label="I read the total to them, and what they pay if the repair fails.",
        error_messages={"required": "Read them the total and what a failed repair costs, then tick this."},
    )
    wipe = forms.BooleanField(
        label="For recycling only: they agree that it is wiped and that nothing comes back.", required=False
    )

    def __init__(self, *args: Any, quote: Quote, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "noted_%s", "initial": {"looked_at": quote.digest}, **kwargs})
        means = under_choices(quote)
        self.fields["choice"].choices = [  # type: ignore[attr-defined]  # it is a ChoiceField
            (choice["choice"], Answer(choice["label"], means[choice["choice"]]))
            for choice in quote.shown["choices"]
        ]
        if "recycle" not in means:
            del self.fields["wipe"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("choice") == "recycle" and not cleaned.get("wipe"):
            self.add_error("wipe", "Ask whether it may be wiped and recycled, then tick this.")
        return cleaned

    def consents(self) -> list[str]:
        return [name for name in ("read_out", "wipe") if self.cleaned_data.get(name)]
