"""What is noted at the opening line: one form for a parcel that came, one for a parcel without a form."""

import re
from typing import Any

from django import forms

from intake.cells import CELL_STATES
from intake.models import Device, Order
from shop.traveller.forms.beside import ManyFilesField, photo_input

PARCEL_STATES = [
    ("sound", "Sound"),
    ("dented", "Dented"),
    ("torn", "Torn"),
    ("wet", "Wet"),
    ("open", "Open when it came"),
]
# Common practice, no source: what is disputed most often is written down first.
MARKS = [
    "Screen cracked",
    "Back cracked",
    "Corner dented",
    "Scratches",
    "Frame bent",
    "Screws missing",
    "Opened before",
    "Liquid marks",
    "Tray for the SIM missing",
    "No mark seen",
]
MOST_EXTRA = 20


class GoodsInForm(forms.Form):
    """Station 20. `order` gives what was announced."""

    parcel_state = forms.ChoiceField(
        label="The parcel",
        choices=PARCEL_STATES,
        widget=forms.RadioSelect,
        error_messages={"required": "Say how the parcel looks from outside."},
    )
    parcel_words = forms.CharField(label="More about the parcel", max_length=300, required=False)
    outside = ManyFilesField(label="Photo: outside, with its label", required=False, widget=photo_input())
    outside_camera = ManyFilesField(label="or take it now", required=False, widget=photo_input(camera=True))
    contents = forms.MultipleChoiceField(
        label="Announced, and in the box", required=False, widget=forms.CheckboxSelectMultiple
    )
    extra = forms.CharField(
        label="Also in the box",
        required=False,
        max_length=1000,
        help_text="One thing a line.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    opening = ManyFilesField(label="Photo: as it lay in the box", required=False, widget=photo_input())
    opening_camera = ManyFilesField(label="or take it now", required=False, widget=photo_input(camera=True))
    marks = forms.MultipleChoiceField(
        label="How it looks",
        required=False,
        choices=[(mark, mark) for mark in MARKS],
        widget=forms.CheckboxSelectMultiple,
    )
    condition = forms.CharField(
        label="More about how it looks",
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    serial_read = forms.CharField(
        label="Serial or IMEI on the device",
        required=False,
        max_length=40,
        widget=forms.TextInput(
            attrs={
                "autocomplete": "off",
                "autocapitalize": "characters",
                "spellcheck": "false",
                "data-takes-scans": "",
            }
        ),
    )
    identity = ManyFilesField(label="Photo: serial or plate", required=False, widget=photo_input())
    identity_camera = ManyFilesField(label="or take it now", required=False, widget=photo_input(camera=True))
    cell_state = forms.ChoiceField(
        label="The battery",
        choices=[(state, words) for state, (words, _) in CELL_STATES.items()],
        widget=forms.RadioSelect,
        error_messages={
            "required": "Look at the battery, and say what you saw. If you cannot see it, say so."
        },
    )
    weight_grams = forms.IntegerField(
        label="Weight of the parcel in grams",
        required=False,
        min_value=1,
        max_value=50_000,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "size": 8, "autocomplete": "off"}),
        error_messages={
            "invalid": "Write the weight as whole grams, such as 310.",
            "min_value": "The weight is between 1 and 50,000 grams.",
            "max_value": "The weight is between 1 and 50,000 grams.",
        },
    )
    bag = forms.CharField(
        label="Bag",
        max_length=12,
        widget=forms.TextInput(attrs={"size": 8, "autocomplete": "off", "autocapitalize": "characters"}),
        error_messages={"required": "Every device has its own bag. Type the number on it."},
    )
    minutes = forms.IntegerField(
        label="Minutes it took",
        required=False,
        min_value=0,
        max_value=720,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "size": 5, "autocomplete": "off"}),
        error_messages={
            "invalid": "Write whole minutes, such as 6.",
            "min_value": "Minutes are between 0 and 720.",
            "max_value": "Minutes are between 0 and 720.",
        },
    )

    def __init__(self, *args: Any, order: Order, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.announced = [str(what) for what in order.in_the_box]
        self.fields["contents"].choices = [(what, what) for what in self.announced]  # type: ignore[attr-defined]  # Django's own field

    def clean_bag(self) -> str:
        """'b7', '7' and 'B-07' are one bag; a number of another shape stays as it is."""
        bag = " ".join(str(self.cleaned_data["bag"]).upper().split())
        shaped = re.fullmatch(r"(?:B|BAG)?[ -]?0*(\d{1,5})", bag)
        return f"B-{int(shaped[1]):02d}" if shaped else bag

    def clean_extra(self) -> list[str]:
        lines = [" ".join(line.split()) for line in self.cleaned_data["extra"].splitlines()]
        things = [line for line in lines if line]
        if len(things) > MOST_EXTRA:
            raise forms.ValidationError(f"At most {MOST_EXTRA} things; put small ones together.")
        return things

    def contents_found(self) -> list[dict[str, object]]:
        """[{what, announced, here}]: what was announced in the order of the form, then what else lay there."""
        ticked = set(self.cleaned_data["contents"])
        listed: list[dict[str, object]] = [
            {"what": what, "announced": True, "here": what in ticked} for what in self.announced
        ]
        return listed + [
            {"what": what, "announced": False, "here": True} for what in self.cleaned_data["extra"]
        ]

    def condition_words(self) -> str:
        words = [*self.cleaned_data["marks"], self.cleaned_data["condition"].strip().rstrip(".")]
        return ". ".join(word for word in words if word)


class NoFormParcelForm(forms.Form):
    """A parcel that nobody announced: enough to begin a sheet."""

    kind = forms.ChoiceField(label="What is it?", choices=Device.Kind.choices)
    make = forms.CharField(label="Make", max_length=60, required=False)
    model = forms.CharField(label="Model", max_length=80, required=False)
    serial = forms.CharField(label="Serial", max_length=40, required=False)
    words = forms.CharField(
        label="What the note in the box says",
        max_length=4000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    name = forms.CharField(label="Name, if known", max_length=120, required=False)
    email = forms.EmailField(
        label="E-mail, if known",
        max_length=254,
        required=False,
        error_messages={"invalid": "That is not an e-mail address. Leave it empty if you do not know it."},
    )
    phone = forms.CharField(label="Phone, if known", max_length=40, required=False)
    form_key = forms.CharField(max_length=64, widget=forms.HiddenInput)


class SenderForm(forms.Form):
    """Who sent it and where it goes back to, found out after the parcel was opened."""

    name = forms.CharField(label="Name", max_length=120, error_messages={"required": "Write the name."})
    email = forms.EmailField(
        label="E-mail",
        max_length=254,
        required=False,
        error_messages={"invalid": "That is not an e-mail address."},
    )
    phone = forms.CharField(label="Phone", max_length=40, required=False)
    street = forms.CharField(label="Street and number", max_length=240, required=False)
    city = forms.CharField(label="Town", max_length=80, required=False)
    area = forms.CharField(label="Area or state", max_length=80, required=False)
    postcode = forms.CharField(label="Postcode", max_length=20, required=False)
    country = forms.CharField(
        label="Country, two letters",
        max_length=2,
        min_length=2,
        required=False,
        widget=forms.TextInput(attrs={"size": 3, "autocapitalize": "characters"}),
        error_messages={"min_length": "Two letters, such as US or DE."},
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("street") and not cleaned.get("country"):
            self.add_error("country", "An address needs its country.")
        return cleaned
