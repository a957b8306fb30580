"""Forms of station 60: steps and the note of the signature, no fix."""

from typing import Any

from django import forms

from shop.traveller.forms.diagnosis import text


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
    # What the last refusal said was left undone, so that the note can be read as its reason.
    told = forms.CharField(max_length=200, required=False, widget=forms.HiddenInput)

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
