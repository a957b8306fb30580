"""Small forms of the traveller that belong to no station: messages, slips, photos."""

from typing import Any

from django import forms

from intake.models import Photo
from intake.stations import SlipReason

# These come off only when somebody has dealt with them, and says how.
NEEDS_A_WORD = {str(SlipReason.QUARANTINE), str(SlipReason.WRONG_DEVICE), str(SlipReason.DISPUTE)}


class MessageForm(forms.Form):
    """An answer or a word to the customer. Shop to customer, at most 4,000 characters."""

    text = forms.CharField(
        label="Write to the customer",
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": "Please write your message first."},
    )
    form_key = forms.CharField(max_length=64, widget=forms.HiddenInput)


class SlipForm(forms.Form):
    """Put the order on hold."""

    reason = forms.ChoiceField(
        label="Why it waits", choices=[(str(reason), str(reason).capitalize()) for reason in SlipReason]
    )
    note = forms.CharField(label="Note", max_length=500, required=False)
    due = forms.DateField(
        label="Until about",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Write the day as 2026-11-27."},
    )


class SlipEndForm(forms.Form):
    """Take a slip off."""

    reason = forms.ChoiceField(choices=[(str(reason), str(reason)) for reason in SlipReason])
    note = forms.CharField(label="What was done", max_length=500, required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("reason") in NEEDS_A_WORD and not cleaned.get("note"):
            self.add_error("note", "Say what was done before this slip comes off.")
        return cleaned


class ManyFiles(forms.ClearableFileInput):
    allow_multiple_selected = True


class ManyFilesField(forms.FileField):
    """One or more files; cleans to a list."""

    def clean(self, data: Any, initial: Any = None) -> list[Any]:
        given = data if isinstance(data, list | tuple) else [data] if data else []
        if not given:
            super().clean(None, initial)
        return [super(ManyFilesField, self).clean(one, initial) for one in given]


def photo_input(*, camera: bool = False) -> ManyFiles:
    """The camera of a bench phone takes one at a time; the other input chooses from what is there."""
    attrs = {"accept": "image/*,.heic,.heif"}
    return ManyFiles(attrs=attrs | ({"capture": "environment"} if camera else {"multiple": True}))


STAFF_ROLES = [(value, label) for value, label in Photo.Role.choices if value != Photo.Role.CUSTOMER]


class PhotoForm(forms.Form):
    """Photos for the sheet, from the camera or from files."""

    role = forms.ChoiceField(label="What they show", choices=STAFF_ROLES)
    camera = ManyFilesField(label="Take a photo", required=False, widget=photo_input(camera=True))
    photos = ManyFilesField(label="Choose files", required=False, widget=photo_input())
    caption = forms.CharField(label="Caption", max_length=160, required=False)
    shown = forms.BooleanField(label="The customer may see them", required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not self.errors and not [*cleaned.get("camera", []), *cleaned.get("photos", [])]:
            self.add_error("photos", "Choose a photo first.")
        return cleaned
