"""Forms of the branches: what was copied, why it came back, what we damaged, recycled after all."""

from decimal import Decimal
from typing import Any

from django import forms

from shop.branches.copies import KEPT_DAYS, Copied
from shop.branches.own_damage import Harm
from shop.models import ComebackCause
from shop.traveller.forms.bill import AmountField
from shop.traveller.forms.diagnosis import short, text
from shop.traveller.forms.goods_out import WipeForm

MOST_BYTES = 8 * 1024 * 1024
DAY = {"invalid": "Write the day as 2026-11-27."}


def _key() -> forms.CharField:
    return forms.CharField(max_length=64, widget=forms.HiddenInput)


def radio(label: str, choices: Any, sentence: str, **more: Any) -> forms.ChoiceField:
    """One of several answers; `sentence` is said where none was picked."""
    wrong = {"required": sentence, "invalid_choice": sentence}
    return forms.ChoiceField(
        label=label, choices=choices, widget=forms.RadioSelect, error_messages=wrong, **more
    )


def _whole(label: str, sentence: str, *, required: bool, **more: Any) -> forms.IntegerField:
    wrong = dict.fromkeys(("required", "invalid", "min_value", "max_value"), sentence)
    attrs = {"inputmode": "numeric", "autocomplete": "off", "size": 12}
    return forms.IntegerField(
        label=label,
        required=required,
        min_value=1 if required else 0,
        widget=forms.TextInput(attrs=attrs),
        error_messages=wrong,
        **more,
    )


class CopyForm(forms.Form):
    """What was copied. The list is pasted, or chosen as the file that `manage.py digest_list` wrote."""

    files = _whole(
        "Files copied", "Count the files, and write the number.", required=True, max_value=2**31 - 1
    )
    bytes_long = _whole(
        "Bytes in all",
        "Write the bytes as a whole number, or leave it empty.",
        required=False,
        max_value=2**62,
    )
    medium = text(
        "Copied to",
        120,
        required="Say what it was copied to.",
        widget=short(),
        help_text="Such as: stick 32 GB.",
    )
    encrypted = radio(
        "Is the medium encrypted",
        [("yes", "Yes"), ("no", "No")],
        "Say whether the medium is encrypted.",
        initial="yes",
    )
    sample = text(
        "What was opened to check",
        200,
        widget=short(),
        help_text="Only of the kind the customer chose, such as: two photos. Nothing else is opened.",
    )
    listing = forms.CharField(
        label="The list of digests",
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 4, "autocomplete": "off", "spellcheck": "false"}),
        help_text="64 hex digits, two spaces, the name; one line a file. Paste it here, or choose its file.",
    )
    listing_file = forms.FileField(
        label="The list as a file",
        required=False,
        allow_empty_file=True,
        widget=forms.ClearableFileInput(attrs={"accept": ".txt,.sha256,text/plain"}),
    )
    delete_on = forms.DateField(
        label="Our own copy is deleted on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages=DAY,
        help_text=f"Left empty: {KEPT_DAYS} days after the parcel has left.",
    )
    key = _key()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "copy_%s", **kwargs})

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        file = cleaned.get("listing_file")
        if file is not None:
            cleaned["listing"] = self._read(file)
        elif not str(cleaned.get("listing") or "").strip():
            self.add_error("listing", "Paste the list of digests, or choose its file.")
        return cleaned

    def _read(self, file: Any) -> str:
        if file.size > MOST_BYTES:
            self.add_error(
                "listing_file", "The list is larger than 8 MB. Pack the files first, then list the pack."
            )
            return ""
        try:
            words: str = file.read().decode()
        except UnicodeDecodeError:
            self.add_error("listing_file", "This is no text file in UTF-8. Choose the list itself.")
            return ""
        if "\x00" in words:
            self.add_error("listing_file", "This is no text file. Choose the list itself.")
        return words

    def copied(self) -> Copied:
        """What was copied, of a form that holds."""
        given = self.cleaned_data
        return Copied(
            files=given["files"],
            medium=given["medium"],
            encrypted=given["encrypted"] == "yes",
            listing=given["listing"],
            sample=given["sample"],
            bytes_long=given["bytes_long"],
            delete_on=given["delete_on"],
        )


class CopyGoneForm(forms.Form):
    """The shop's own copy is deleted. `copy` names the row."""

    copy = forms.IntegerField(widget=forms.HiddenInput)
    how = text(
        "How our copy was deleted",
        200,
        required="Say how it was deleted: the tool or the command.",
        widget=forms.TextInput,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "gone_%s", **kwargs})


class CauseForm(forms.Form):
    """Why a device came back."""

    cause = radio("Why it came back", ComebackCause.Cause.choices, "Say why it came back.")
    words = text(
        "In plain words",
        400,
        required="Say in plain words why it came back. The customer reads it.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    lot = text("Lot of the bad part", 20, widget=short(list="lots-before"), help_text="Only for a bad lot.")
    key = _key()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "cause_%s", **kwargs})


class CoverForm(forms.Form):
    """The owner decides who pays, against the rule."""

    covered = radio("Who pays", [("yes", "We do"), ("no", "The customer")], "Say who pays.")
    why = text(
        "Why",
        400,
        required="Say why. The customer reads it.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    key = _key()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "cover_%s", **kwargs})


class OwnDamageForm(forms.Form):
    """What we damaged. The customer reads both texts."""

    words = text(
        "What happened, in plain words",
        2000,
        required="Say in plain words what happened. The customer reads it.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    offered = text(
        "What we offer",
        1000,
        required="Say what we offer. The customer reads it.",
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Such as: we repair it free, we pay its value, we save the data.",
    )
    key = _key()

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "damage_%s", **kwargs})
        self.fields["worth"] = AmountField(
            currency=currency,
            label="Sum offered",
            required=False,
            help_text="Left empty for none. The owner pays it at 80 and books it there.",
        )

    def harm(self) -> Harm:
        worth: Decimal | None = self.cleaned_data["worth"]
        return Harm(words=self.cleaned_data["words"], offered=self.cleaned_data["offered"], worth=worth)


class RecycleInsteadForm(WipeForm):
    """Recycled after all, with the customer's word."""

    consent = text(
        "What the customer said",
        200,
        required="The device is the customer's. Write what they said, when and how.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "instead_%s", **kwargs})
