"""Forms that end the two slips which need more than a word: a wrong device, a battery in quarantine."""

from typing import Any

from django import forms

from intake.answers import Answer
from intake.models import Order
from shop.branches.forms import radio
from shop.branches.quarantine import BACK, BATTERY, DEVICE, ON, SAFE, SOUND, Dealt
from shop.branches.wrong_device import Ended
from shop.models import SlipEnd
from shop.traveller.forms.diagnosis import short, text


class WrongDeviceForm(forms.Form):
    """How a wrong device ended. Make, model and colour are of the other device."""

    how = radio(
        "How it ended",
        [
            (
                SlipEnd.How.FORM.value,
                Answer("It is the right device", "The form was wrong; the serial read counts."),
            ),
            (
                SlipEnd.How.SWAPPED.value,
                Answer("It is another device", "The customer wants this one looked at."),
            ),
            (
                SlipEnd.How.BACK.value,
                Answer("It goes back as it came", "Return post as told before. To 80 at once."),
            ),
        ],
        "Say how it ended.",
    )
    words = text(
        "What the customer said",
        400,
        required="Say what the customer said, and how it was cleared up.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    serial = text("Serial on the device", 40, widget=short())
    make = text("Make, if another device", 60, widget=short())
    model = text("Model, if another device", 80, widget=short())
    colour = text("Colour, if another device", 40, widget=short())

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "wrong_%s", **kwargs})

    def ended(self) -> Ended:
        return Ended(**self.cleaned_data)


class QuarantineForm(forms.Form):
    """How a quarantine ended."""

    how = radio(
        "How it ended",
        [
            (SAFE, Answer("Battery out and safe", "In a container of its own; the rest is safe.")),
            (BATTERY, Answer("Battery given away", "Out of the device, and with a licensed collector.")),
            (
                DEVICE,
                Answer("Whole device given away", "With a licensed collector; needs the customer's word."),
            ),
            (SOUND, Answer("Looked at, and sound", "Only where nobody had seen the battery.")),
        ],
        "Say how it ended.",
    )
    then = radio(
        "What becomes of the device",
        [(ON, "It goes on"), (BACK, "Back without its battery")],
        "Say what becomes of the device.",
        initial=ON,
    )
    words = text(
        "What was done, by whom, and where the battery is now",
        200,
        required="Say what was done, by whom, and where the battery is now.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    consent = text(
        "What the customer said, if the device is given away",
        180,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Their words, the day and the way: by letter, or by phone with the number.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "battery_%s", **kwargs})

    def dealt(self) -> Dealt:
        return Dealt(**self.cleaned_data)


def serial_read(order: Order) -> str:
    """What was read at goods in, to begin with."""
    arrival = getattr(order, "arrival", None)
    return arrival.serial_read if arrival else ""
