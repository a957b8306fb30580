"""Forms of station 60: steps and the note of the signature, parts, no fix."""

from typing import Any

from django import forms

from quotes.models import Part
from shop.traveller.forms.diagnosis import short, text

MOST_PIECES = 1000


class StepsForm(forms.Form):
    """The ticks of the steps and the note; signs the station. `steps` gives key and text of each."""

    steps = forms.MultipleChoiceField(
        label="Steps",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "One of the steps is not on this sheet any more."},
    )
    note = text(
        "Note for the sheet",
        400,
        help_text="The customer's report lists the steps; this stays with the sheet.",
    )

    def __init__(self, *args: Any, steps: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "steps_%s", **kwargs})
        field = self.fields["steps"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = steps


class OwnStepForm(forms.Form):
    """A step that was done and was not on the list."""

    text = text("Another step that was done", 200, required="Say what was done.", widget=forms.TextInput)
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "own_step_%s", **kwargs})


class TakePartForm(forms.Form):
    """A part by its number, typed or scanned; fitted, or spoiled with the reason."""

    number = text(
        "Part number",
        30,
        required="Scan or type the part number.",
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
    spoiled = forms.BooleanField(label="It was spoiled, not fitted", required=False)
    why = text("How it was spoiled", 200, widget=forms.TextInput)
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)
    part: Part

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "part_%s", **kwargs})

    def clean_number(self) -> str:
        number: str = self.cleaned_data["number"]
        found = Part.objects.filter(number__iexact=number).first()
        if found is None:
            raise forms.ValidationError(f"No part has the number {number}. Look it up in the stock.")
        self.part = found
        return number

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("spoiled") and not cleaned.get("why"):
            self.add_error("why", "Say how it was spoiled. It stands in the stock's moves.")
        return cleaned


class NoFixForm(forms.Form):
    """Giving up honestly; the customer reads the words."""

    words = text(
        "Why it could not be mended, in plain words",
        2000,
        required="Say in plain words why it could not be mended. The customer reads it.",
        widget=forms.Textarea(attrs={"rows": 4}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "no_fix_%s", **kwargs})
