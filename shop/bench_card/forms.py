"""What is typed on the card of sums. Every field may stay empty; what is typed is read as at the bench (0,1 mm; AWG 38; 60m)."""

import re
from decimal import Decimal
from typing import Any

from django import forms

from quotes.reading_values import ReadingError, in_base, number_of
from shop.bench.wire_maths import awg_diameter
from shop.traveller.forms.diagnosis import short, text

_GAUGE = re.compile(r"(?:awg\s*(\d{1,2}|0{2,4})|(\d{1,2}|0{2,4})\s*awg)", re.IGNORECASE)
_MILLIMETRES = re.compile(r"(\d{0,4}(?:[.,]\d{1,4})?)\s*(?:mm)?", re.IGNORECASE)
_LONGEST_GAUGE = 50


class CardForm(forms.Form):
    """Both sums in one form, so that neither loses what was typed for the other."""

    size = text("Wire", 20, widget=short(size=10, list="wires"), help_text="Its copper: 0.1 mm, or AWG 38.")
    length = text("Length, mm", 12, widget=short(size=8, inputmode="decimal"))
    amps = text("Current", 12, widget=short(size=8), help_text="60 mA, or 0.06.")
    ambient = text("Round it, degrees Celsius", 8, widget=short(size=6), help_text="25 if left empty.")
    rail = text("Rail", 80, widget=short(list="rails"))
    board = text("Board", 80, widget=short())
    nominal = text(
        "It carries, volts", 12, widget=short(size=8),
        help_text="When all is well. Left empty, the list of points is asked.",
    )  # fmt: skip
    volts = text("Supply, volts", 12, widget=short(size=8))
    limit = text("Its limit, amperes", 12, widget=short(size=8))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "card_%s", **kwargs})

    def clean_size(self) -> float | None:
        """The diameter in millimetres."""
        typed = self.cleaned_data["size"]
        if not typed:
            return None
        if gauge := _GAUGE.fullmatch(typed):
            digits = gauge[1] or gauge[2]
            number = 1 - len(digits) if set(digits) == {"0"} else int(digits)
            if number <= _LONGEST_GAUGE:
                return awg_diameter(number)
        found = _MILLIMETRES.fullmatch(typed)
        if found is None or not found[1].strip(".,"):
            raise forms.ValidationError(
                "Write a diameter in millimetres, such as 0.1, or a gauge such as AWG 38."
            )
        return float(found[1].replace(",", "."))

    def clean_length(self) -> float | None:
        typed = self.cleaned_data["length"]
        if not typed:
            return None
        found = _MILLIMETRES.fullmatch(typed)
        if found is None or not found[1].strip(".,"):
            raise forms.ValidationError("Write a length in millimetres, such as 12.")
        return float(found[1].replace(",", "."))

    def clean_amps(self) -> Decimal | None:
        return self._figure("amps", "amps")

    def clean_ambient(self) -> Decimal | None:
        return self._figure("ambient", "celsius")

    def clean_nominal(self) -> Decimal | None:
        return self._figure("nominal", "volts")

    def clean_volts(self) -> Decimal | None:
        return self._figure("volts", "volts")

    def clean_limit(self) -> Decimal | None:
        return self._figure("limit", "amps")

    def clean(self) -> dict[str, Any]:
        """A sum that was begun needs its other figures."""
        given = super().clean() or self.cleaned_data
        wire = {"size": "the wire", "length": "its length", "amps": "its current"}
        self._whole(wire, given)
        if any(given.get(name) is not None for name in ("volts", "limit", "nominal")) or given.get("rail"):
            self._whole({"volts": "the volts of the supply"}, given, begun=True)
        return given

    def _whole(self, names: dict[str, str], given: dict[str, Any], *, begun: bool = False) -> None:
        begun = begun or any(given.get(name) is not None for name in names)
        for name, words in names.items():
            if begun and given.get(name) is None and name not in self.errors:
                self.add_error(name, f"Type {words} as well.")

    def _figure(self, name: str, mode: str) -> Decimal | None:
        typed = self.cleaned_data[name].replace("\u2212", "-")
        if not typed:
            return None
        try:
            number = number_of("".join(typed.split()))
            if number.unit_mode in (None, mode):
                return in_base(number, mode)
        except ReadingError:
            pass
        raise forms.ValidationError(f"{typed[:12]} is not a number here. Write one such as 0.5.")
