"""The device and its story: what it is, what the customer sees, thinks and remembers."""

from django import forms
from django.core.exceptions import ValidationError

from intake import codes
from intake.forms.fields import OneOf, StepForm, Ticks, Words, as_choices
from intake.models import Device
from intake.request_words import BEFORE

_PLATE = {"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}


class DeviceForm(StepForm):
    kind = OneOf(
        label="What kind of device is it?",
        choices=Device.Kind.choices,
        error_messages={"required": "Choose what kind of device it is."},
    )
    make = Words(
        label="Make", most=60, required=False, help_text="The name on the back or on the start screen."
    )
    model = Words(label="Model", most=80, required=False, help_text="As far as you know it.")
    colour = Words(label="Colour", most=40, required=False)
    serial = Words(
        label="Serial number",
        most=40,
        required=False,
        help_text="Only if you can read it: on the back, the SIM tray or the box it came in.",
        widget=forms.TextInput(attrs=_PLATE),
    )
    imei = Words(
        label="IMEI",
        most=20,
        required=False,
        help_text="Phones have one: 15 digits, on the box or the SIM tray. Leave it empty if you cannot read it.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "inputmode": "numeric"}),
    )

    def said(self) -> list[tuple[str, str]]:
        given = self.cleaned_data
        return [
            ("Kind", Device.Kind(given["kind"]).label),
            ("Make and model", " ".join(word for word in (given["make"], given["model"]) if word)),
            ("Colour", given["colour"]),
            ("Serial number", given["serial"]),
            ("IMEI", given["imei"]),
        ]

    def warnings(self) -> list[tuple[str, str]]:
        verdict = codes.imei_check(self.cleaned_data.get("imei", ""))
        return [("imei", f"IMEI: {verdict.sentence}")] if verdict.ok is False else []


class SymptomsForm(StepForm):
    lists = ("symptoms",)
    symptoms = Ticks(label="Tick all that fits", required=False)
    words = Words(
        label="In your own words",
        most=4000,
        rows=6,
        required=False,
        help_text="What it does, what it no longer does, and when.",
    )

    def build(self) -> None:
        self.fields["symptoms"].choices = as_choices(str(word) for word in self.head.symptoms)
        if not self.head.symptoms:
            del self.fields["symptoms"]

    def clean(self) -> None:
        super().clean()
        if not self.errors and not self.cleaned_data.get("symptoms") and not self.cleaned_data.get("words"):
            field = "symptoms" if "symptoms" in self.fields else "words"
            self.add_error(field, ValidationError("Tick what fits, or say it in your own words below."))

    def said(self) -> list[tuple[str, str]]:
        return [
            ("What you see", ", ".join(self.cleaned_data.get("symptoms", []))),
            ("In your own words", self.cleaned_data["words"]),
        ]


class IdeaForm(StepForm):
    idea = Words(
        label="Your idea, or what somebody told you",
        most=300,
        rows=3,
        required=False,
        help_text="Kept as a clue, never as the order: we look for the true fault ourselves and tell you whether the idea was right.",
    )

    def said(self) -> list[tuple[str, str]]:
        return [("Your idea, kept as a clue", self.cleaned_data["idea"])]


class BeforeForm(StepForm):
    lists = ("before",)
    before = Ticks(label="Tick all that happened", required=False, choices=as_choices(BEFORE))
    since = Words(
        label="Since when does it do this?",
        most=120,
        required=False,
        help_text="Such as: since Sunday, after a fall.",
    )
    before_words = Words(
        label="Who opened it, and what was done?",
        most=2000,
        rows=4,
        required=False,
        help_text="Say it plainly. It changes where we look first, and nobody here will scold you.",
    )

    def said(self) -> list[tuple[str, str]]:
        given = self.cleaned_data
        return [
            ("What happened", ", ".join(given["before"])),
            ("Since when", given["since"]),
            ("Who opened it", given["before_words"]),
        ]

    def in_words(self) -> str:
        """Since when and who, in the one text that the order keeps."""
        since = self.cleaned_data["since"]
        lines = [f"Since when: {since}" if since else "", self.cleaned_data["before_words"]]
        return "\n".join(line for line in lines if line)
