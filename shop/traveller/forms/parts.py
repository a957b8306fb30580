"""Forms of the parts at station 60: taking one from its bin or lot, and writing off one that was fitted."""

from typing import Any

from django import forms

from quotes import lots
from quotes.models import Lot, Part
from shop.bench.spoiling import REASONS, spoiled_words
from shop.traveller.forms.diagnosis import short, text

MOST_PIECES = 1000
LOOSE = "none"
WHICH = "It came in more than one lot. Read the label on the bag and choose; the oldest is proposed."


def lot_choices(part: Part) -> list[tuple[str, str]]:
    """Where a piece of the part may come from, the oldest lot first: value of the field, and words."""
    return [
        (one.lot.number, f"Lot {one.lot.number}: {one.pieces}")
        if one.lot
        else (LOOSE, f"Without a lot: {one.pieces}")
        for one in lots.sources(part)
    ]


class TakePartForm(forms.Form):
    """A part by the number of its lot or its own, typed or scanned; fitted, or spoiled with the reason."""

    number = text(
        "Part or lot number",
        30,
        required="Scan or type the part number, or the lot on the bag.",
        widget=short(list="parts-of-this-sheet", size=14),
    )
    quantity = forms.IntegerField(
        label="How many",
        min_value=1,
        max_value=MOST_PIECES,
        initial=1,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "size": 5, "autocomplete": "off"}),
        error_messages={
            "required": "Say how many.",
            "invalid": "Write how many as a whole number.",
            "min_value": "Say how many were used: one or more.",
            "max_value": f"At most {MOST_PIECES} at a time.",
        },
    )
    lot = text("From which lot", 20, widget=forms.HiddenInput)
    spoiled = forms.ChoiceField(
        label="What became of it",
        required=False,
        choices=[("", "Fitted"), *((key, f"Spoiled: {words.lower()}") for key, words in REASONS.items())],
        error_messages={"invalid_choice": "Choose what became of it."},
    )
    why = text("In words", 160, widget=forms.TextInput, help_text="For another reason they are needed.")
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)
    part: Part
    lot_row: Lot | None = None

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "part_%s", **kwargs})

    def clean_number(self) -> str:
        number: str = self.cleaned_data["number"]
        self.lot_row = lots.lot_meant(number)
        found = self.lot_row.part if self.lot_row else Part.objects.filter(number__iexact=number).first()
        if found is None:
            raise forms.ValidationError(
                f"No part and no lot has the number {number}. Look it up in the stock."
            )
        self.part = found
        return number

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if "number" in cleaned and self.lot_row is None:
            self._choose_lot(cleaned.get("lot", ""))
        if cleaned.get("spoiled"):
            try:
                cleaned["why"] = spoiled_words(cleaned["spoiled"], cleaned.get("why", ""))
            except ValueError as fault:
                self.add_error("why", str(fault))
        return cleaned

    def _choose_lot(self, typed: str) -> None:
        """The lot of a part that was given by its own number: the one named, the only one there is, or asked for."""
        choices = lot_choices(self.part)
        if typed and typed != LOOSE:
            self.lot_row = lots.lot_meant(typed)
            if self.lot_row is None:
                self.add_error("lot", f"No lot has the number {typed}.")
        elif not typed and len(choices) == 1 and choices[0][0] != LOOSE:
            self.lot_row = lots.lot_meant(choices[0][0])
        elif not typed and len(choices) > 1:
            self._ask(choices)

    def _ask(self, choices: list[tuple[str, str]]) -> None:
        self.data = self.data.copy()
        self.data["lot"] = choices[0][0]
        self.fields["lot"].widget = forms.Select(choices=choices)
        self.add_error("lot", WHICH)


class SpoilFittedForm(forms.Form):
    """A fitted part that came off again and is no good."""

    move = forms.IntegerField(widget=forms.HiddenInput)
    reason = forms.ChoiceField(
        label="Why it is no good",
        choices=list(REASONS.items()),
        error_messages={"required": "Choose how it was spoiled."},
    )
    why = text("In words", 160, widget=forms.TextInput)
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if "reason" in cleaned:
            try:
                cleaned["why"] = spoiled_words(cleaned["reason"], cleaned.get("why", ""))
            except ValueError as fault:
                self.add_error("why", str(fault))
        return cleaned
