"""The form of station 50: an answer that came by phone or in person, noted by staff."""

import datetime as dt
from decimal import Decimal
from typing import Any

from django import forms

from intake import wording
from intake.answers import Answer
from intake.house import house
from quotes.answering import total_of
from quotes.consents import Consent, consents_for, kept
from quotes.models import Decision, Quote
from quotes.offered import offered
from shop.traveller.forms.diagnosis import short, text
from shop.traveller.forms.quote import Amount
from shop.window.bill import under_choices

READ_OUT = Consent(
    "read_out",
    "I read the total to them, and what they pay if the repair fails.",
    "Read them the total and what a failed repair costs, then tick this.",
)
ASK_FIRST = "Ask them this first, then tick it."


class NotedAnswerForm(forms.Form):
    """Who said what, and how. `looked_at` is the digest of the quote that was on the screen, and read out.

    The fields of a call are those of California's rule for a spoken consent (16 CCR 2722 with BPC 9844, seen as an
    excerpt): who agreed, the number called, day and time, conditions, and the total that was read out.
    """

    looked_at = forms.CharField(max_length=64, widget=forms.HiddenInput)
    choice = forms.ChoiceField(
        label="What they said",
        widget=forms.RadioSelect,
        error_messages={"required": "Say what they answered."},
    )
    extras = forms.MultipleChoiceField(
        label="With it",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "One of the extras is not on this quote."},
    )
    channel = forms.ChoiceField(
        label="How they said it",
        choices=[(Decision.Channel.PHONE, "By phone"), (Decision.Channel.PERSON, "In person")],
        widget=forms.RadioSelect,
        error_messages={"required": "Say how the answer came."},
    )
    typed_name = text("Who said it", 120, required="Write the name of the person who answered.")
    called_number = text("Number of the call", 40, help_text="For an answer by phone.", widget=short())
    spoken_at = forms.DateTimeField(
        label="Day and time they said it",
        required=False,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        error_messages={"invalid": "Write day and time as 2026-11-27 14:05."},
    )
    conditions = text("Their conditions", 300, help_text="Write none if there were none.", widget=short())
    read_total = Amount(
        label="Total that was read out", currency="USD", required=False, help_text="For an answer by phone."
    )
    read_out = forms.BooleanField(label=READ_OUT.words, error_messages={"required": READ_OUT.missing})

    def __init__(self, *args: Any, quote: Quote, at: dt.datetime, **kwargs: Any) -> None:
        customer = quote.order.customer
        start = {
            "looked_at": quote.digest,
            "called_number": customer.phone if customer else "",
            "spoken_at": at.replace(second=0, microsecond=0),
        }
        super().__init__(*args, **{"auto_id": "noted_%s", "initial": start, **kwargs})
        self.quote, self.at = quote, at
        means = under_choices(quote)
        self.fields["choice"].choices = [  # type: ignore[attr-defined]  # it is a ChoiceField
            (choice["choice"], Answer(choice["label"], means[choice["choice"]]))
            for choice in quote.shown["choices"]
        ]
        self.fields["read_total"].currency = quote.currency  # type: ignore[attr-defined]  # it is an Amount
        self._offer_extras()
        self.asked = {row.choice: self._asked(row.choice) for row in offered(quote.shown)}
        for consent in {consent.key: consent for asked in self.asked.values() for consent in asked}.values():
            self.fields[consent.key] = forms.BooleanField(
                label=f"They said: {consent.words}", help_text=consent.under, required=False
            )

    def _offer_extras(self) -> None:
        rows = self.quote.shown.get("extras") or ()
        if not rows:
            del self.fields["extras"]
            return
        labels = {row["choice"]: row["label"] for row in self.quote.shown["choices"]}
        self.fields["extras"].choices = [  # type: ignore[attr-defined]  # it is a ChoiceField
            (row["key"], Answer(row["text"], self._adds(row, labels))) for row in rows
        ]

    def _adds(self, row: dict[str, Any], labels: dict[str, str]) -> str:
        return "; ".join(
            f"{labels[name]}: {self._money(Decimal(amount))} more" for name, amount in row["amounts"].items()
        )

    def _money(self, amount: Decimal) -> str:
        return wording.money(amount, self.quote.currency, house().locale)

    def _asked(self, choice: str) -> list[Consent]:
        return consents_for(
            choice,
            withdrawal_words=self.quote.shown["withdrawal_words"],
            data_at_stake=self.quote.order.data_wish != "no",
        )

    def clean_spoken_at(self) -> dt.datetime | None:
        moment: dt.datetime | None = self.cleaned_data["spoken_at"]
        if moment is None:
            return None
        if moment > self.at:
            raise forms.ValidationError("That is still to come.")
        if moment < self.quote.sent_at.replace(second=0, microsecond=0):
            raise forms.ValidationError("The quote was sent later than that.")
        return moment.astimezone(dt.UTC)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for consent in self.asked.get(cleaned.get("choice", ""), ()):
            if not cleaned.get(consent.key):
                self.add_error(consent.key, ASK_FIRST)
        if cleaned.get("channel") == Decision.Channel.PHONE:
            self._check_call(cleaned)
        return cleaned

    def _check_call(self, cleaned: dict[str, Any]) -> None:
        for name, missing in (
            ("called_number", "Write the number that was called, or that called."),
            ("spoken_at", "Write the day and the time of the call."),
            ("conditions", "Write what they made a condition, or: none."),
        ):
            if not cleaned.get(name) and name not in self.errors:
                self.add_error(name, missing)
        total = self.total()
        if total is None or "read_total" in self.errors or "choice" in self.errors:
            return
        said = cleaned.get("read_total")
        if said is None:
            self.add_error(
                "read_total", f"It is {self._money(total)} in all. Read it out, then write it here."
            )
        elif said != total:
            self.add_error(
                "read_total", f"What they chose comes to {self._money(total)} in all. Read that out to them."
            )

    def extras_taken(self) -> list[str]:
        return list(self.cleaned_data.get("extras") or ())

    def total(self) -> Decimal | None:
        """What the answer comes to; None where that is told elsewhere, or where no such set of extras is offered."""
        choice, extras = self.cleaned_data.get("choice", ""), self.extras_taken()
        offered_here = {
            row["key"] for row in self.quote.shown.get("extras") or () if choice in row["choices"]
        }
        return total_of(self.quote, choice, extras) if set(extras) <= offered_here else None

    def ticked(self) -> list[Consent]:
        """What they were read and said yes to, each once."""
        asked = self.asked.get(self.cleaned_data["choice"], [])
        return [READ_OUT, *asked]

    def consent_texts(self) -> list[dict[str, str]]:
        return kept(self.ticked(), version=self.quote.shown["terms_version"])
