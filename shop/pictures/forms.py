"""Forms of a photo's page and of the phone's."""

import secrets
from decimal import Decimal
from typing import Any

from django import forms

from intake.models import Order, Photo
from quotes.models import Reading
from shop.models import PhotoMark
from shop.pictures.geometry import ARROW, NUMBER, Mark, of_square
from shop.pictures.marks import BIGGEST_NUMBER
from shop.pictures.seen import reading_line
from shop.traveller.forms.beside import STAFF_ROLES, ManyFilesField, photo_input

HUNDRED = Decimal(100)
PER_THOUSAND = 10


class Percent(forms.DecimalField):
    """A place on a photo, in per cent of its side; cleans to thousandths."""

    def __init__(self, *, label: str, **more: Any) -> None:
        widget = forms.TextInput(attrs={"inputmode": "decimal", "size": 6, "autocomplete": "off"})
        says = "Write a figure from 0 to 100."
        super().__init__(
            label=label,
            required=False,
            min_value=Decimal(0),
            max_value=HUNDRED,
            widget=widget,
            error_messages={"invalid": says, "min_value": says, "max_value": says},
            **more,
        )

    def clean(self, value: Any) -> int | None:
        given = super().clean(str(value or "").strip().removesuffix("%").strip().replace(",", "."))
        return None if given is None else round(given * PER_THOUSAND)


class ReadingChoice(forms.ModelChoiceField):
    def label_from_instance(self, reading: Reading) -> str:
        return f"{reading.point}, {reading_line(reading)}, {reading.get_phase_display().lower()}"


class MarkForm(forms.Form):
    """One mark. A place alone is enough: it is a ring's middle, an arrow's point, a number's place."""

    kind = forms.ChoiceField(label="What to draw", choices=PhotoMark.Kind.choices, widget=forms.RadioSelect)
    x = Percent(label="Across, in % from the left")
    y = Percent(label="Down, in % from the top")
    square = forms.CharField(
        label="Or a square",
        required=False,
        max_length=4,
        help_text="Such as E5, the middle one.",
        widget=forms.TextInput(attrs={"size": 4, "autocomplete": "off"}),
    )
    to_x = Percent(label="Second place, across", help_text="A ring's edge, or where an arrow comes from.")
    to_y = Percent(label="Second place, down")
    number = forms.IntegerField(
        label="Number",
        required=False,
        min_value=1,
        max_value=BIGGEST_NUMBER,
        help_text="Left empty, the next one.",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "size": 3, "autocomplete": "off"}),
        error_messages={"invalid": "Write a number from 1 to 99."},
    )
    words = forms.CharField(label="Words", required=False, max_length=120)
    reading = ReadingChoice(
        label="Reading it stands for", required=False, queryset=Reading.objects.none(), empty_label="none"
    )
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)

    def __init__(self, data: Any = None, *, order: Order, **more: Any) -> None:
        start = {"kind": NUMBER, "key": secrets.token_urlsafe(24)}
        super().__init__(data, initial=start, auto_id="mark_%s", **more)
        field = self.fields["reading"]
        assert isinstance(field, ReadingChoice)
        field.queryset = order.readings.filter(superseded_by__isnull=True)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("square"):
            try:
                cleaned["x"], cleaned["y"] = of_square(cleaned["square"])
            except ValueError as fault:
                self.add_error("square", str(fault))
        elif not {"x", "y"} & set(self.errors) and None in (cleaned.get("x"), cleaned.get("y")):
            self.add_error("x", "Say where: two figures, or a square.")
        if (cleaned.get("to_x") is None) != (cleaned.get("to_y") is None) and not self.errors:
            self.add_error("to_x", "A second place needs both figures, or neither.")
        return cleaned

    def mark(self) -> Mark:
        """What was given, as it is kept: an arrow from its second place to its first."""
        given = self.cleaned_data
        first, second = (given["x"], given["y"]), (given["to_x"], given["to_y"])
        if given["kind"] == NUMBER:
            return Mark(NUMBER, *first, number=given["number"])
        if given["kind"] == ARROW and second != (None, None):
            return Mark(ARROW, *second, *first)
        return Mark(given["kind"], *first, *second)


class DescribeForm(forms.Form):
    """What a photo shows, and its caption."""

    role = forms.ChoiceField(label="What it shows", choices=STAFF_ROLES)
    caption = forms.CharField(label="Caption", max_length=160, required=False)

    def __init__(self, data: Any = None, *, photo: Photo, **more: Any) -> None:
        start = {"role": photo.role, "caption": photo.caption}
        super().__init__(data, initial=start, auto_id="photo_%s", **more)
        if photo.role == Photo.Role.CUSTOMER:
            self.fields["role"] = forms.ChoiceField(
                label="What it shows", choices=[(photo.role, photo.get_role_display())]
            )


class PhoneForm(forms.Form):
    """Photos from the bench phone: from its camera, or from what is on it."""

    role = forms.ChoiceField(label="What they show", choices=STAFF_ROLES)
    camera = ManyFilesField(label="Take a photo", required=False, widget=photo_input(camera=True))
    photos = ManyFilesField(label="Choose photos", required=False, widget=photo_input())

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not self.errors and not [*cleaned.get("camera", []), *cleaned.get("photos", [])]:
            self.add_error("photos", "Take or choose a photo first.")
        return cleaned
