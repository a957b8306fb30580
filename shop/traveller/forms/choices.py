"""Forms of station 40 beyond the common quote: further choices with their words, a deposit, a surcharge."""

import datetime as dt
from typing import Any

from django import forms

from quotes.choice_words import CHANCES, usual_chance
from quotes.models import Surcharge
from shop.traveller.forms.diagnosis import short, text
from shop.traveller.forms.quote import Amount, DraftForm

FURTHER = ("data", "clean")
NAMES = ("mend", *FURTHER)
# What a choice keeps in the draft; each is a field here, after the choice's name.
KEPT = ("promise", "warranty_days", "chance", "chance_words", "data_words", "fails_words")


class OfferForm(DraftForm):
    """Which further choices are on the quote, and the words of each. An empty field means the usual words."""

    ids = "offer"

    def __init__(self, *args: Any, today: dt.date, only_mend: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.names = NAMES[:1] if only_mend else NAMES
        for name in self.names:
            for field, made in _fields(name).items():
                self.fields[f"{name}_{field}"] = made

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for name in self.names:
            day = cleaned.get(f"{name}_promise")
            if day is not None and day < self.today:
                self.add_error(f"{name}_promise", "That day is past. Promise one from today on.")
        return cleaned

    def choices(self) -> dict[str, dict[str, Any]]:
        """As a draft keeps them: plain JSON, the day as ISO 8601, nothing for an empty field. Call after is_valid()."""
        return {name: self._choice(name) for name in self.names}

    def _choice(self, name: str) -> dict[str, Any]:
        given = {field: self.cleaned_data.get(f"{name}_{field}") for field in ("on", *KEPT)}
        if isinstance(given["promise"], dt.date):
            given["promise"] = given["promise"].isoformat()
        return {field: value for field, value in given.items() if value not in (None, "", False)}

    def sections(self) -> list[tuple[str, list[Any]]]:
        """Each choice with its bound fields, for the template."""
        return [
            (name, [self[key] for key in self.fields if key.startswith(f"{name}_")]) for name in self.names
        ]


def typed(choices: dict[str, dict[str, Any]]) -> dict[str, Any]:
    """What a draft keeps, as the form's initial values."""
    return {f"{name}_{field}": value for name, given in choices.items() for field, value in given.items()}


def _fields(name: str) -> dict[str, forms.Field]:
    made: dict[str, forms.Field] = {}
    if name in FURTHER:
        made["on"] = forms.BooleanField(label="Offer it", required=False)
        made["promise"] = forms.DateField(
            label="Done by",
            required=False,
            help_text="Empty: as the repair.",
            widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            error_messages={"invalid": "Write the day as 2026-11-27."},
        )
    return made | {
        "warranty_days": forms.IntegerField(
            label="Warranty, days",
            required=False,
            min_value=0,
            max_value=3650,
            help_text="Empty: by the rates." if name == "mend" else "Empty: none.",
            widget=short(size=5, inputmode="numeric"),
            error_messages={"invalid": "Days are a whole number."},
        ),
        "chance": forms.ChoiceField(
            label="Chance",
            required=False,
            choices=[("", f"{CHANCES[usual_chance(name)]}, as usual"), *CHANCES.items()],
        ),
        "chance_words": text("In a sentence", 160, widget=short()),
        "data_words": text("What happens to the data", 300, widget=short()),
        "fails_words": text("What happens if it fails", 300, widget=short()),
    }


class DepositForm(DraftForm):
    """Asked for before a special part is ordered."""

    ids = "deposit"
    deposit = Amount(
        label="Deposit", currency="USD", required=False, help_text="Empty or 0: none is asked for."
    )
    deposit_words = text("In words", 200, widget=short(), help_text="Empty: the usual words.")

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, currency=currency, **kwargs)
        self.fields["deposit"].currency = currency  # type: ignore[attr-defined]  # it is an Amount


class SurchargeForm(DraftForm):
    """A surcharge of the price book."""

    ids = "surcharge"
    surcharge = forms.ModelChoiceField(
        label="Surcharge",
        queryset=Surcharge.objects.none(),
        empty_label=None,
        error_messages={
            "required": "Choose a surcharge.",
            "invalid_choice": "That surcharge is not in the price book any more.",
        },
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["surcharge"].queryset = Surcharge.objects.filter(active=True)  # type: ignore[attr-defined]
