"""Forms of station 40. Money is read in the order's currency; only a fee may lower the price."""

import datetime as dt
from decimal import Decimal
from typing import Any

from django import forms

from intake.money import MoneyError, parse_amount
from quotes.choice_words import LABELS
from shop.traveller.forms.diagnosis import short, text

MOST_PIECES = 999
BY_RULE = "Empty: by the shop's rule."
FOR = [(name, LABELS[name]) for name in ("mend", "data", "clean")]


class Amount(forms.CharField):
    """A price as typed; cleans to Decimal, or None when empty and not required."""

    def __init__(self, *, currency: str, lowers: bool = False, **more: Any) -> None:
        super().__init__(
            **{"max_length": 24, "widget": short(size=9, inputmode="text" if lowers else "decimal"), **more}
        )
        self.currency, self.lowers = currency, lowers

    def clean(self, value: Any) -> Any:
        typed = super().clean(value)
        if not typed:
            return None
        below = self.lowers and typed.replace("\u2212", "-").startswith("-")
        try:
            amount = parse_amount(typed[1:] if below else typed, self.currency)
        except MoneyError as fault:
            raise forms.ValidationError(str(fault)) from fault
        return -amount if below else amount


class Pieces(forms.CharField):
    """How many: a number above nought, at most 999, with up to three digits after the point."""

    def __init__(self, **more: Any) -> None:
        super().__init__(
            **{
                "label": "How many",
                "max_length": 12,
                "initial": "1",
                "required": False,
                "widget": short(size=4, inputmode="decimal"),
                **more,
            }
        )

    def clean(self, value: Any) -> Decimal:
        typed = super().clean(value).replace(",", ".") or "1"
        plain = typed.replace(".", "", 1)
        if not (plain.isascii() and plain.isdigit()):
            raise forms.ValidationError("That is not a number of pieces. Write 1, 2 or 1.5.")
        number = Decimal(typed)
        if not 0 < number <= MOST_PIECES:
            raise forms.ValidationError(f"Write more than nought and at most {MOST_PIECES}.")
        if number != number.quantize(Decimal("0.001")):
            raise forms.ValidationError("At most three digits after the point.")
        return number


class DraftForm(forms.Form):
    """A change to the draft carries the version of the draft that the person saw."""

    draft = forms.IntegerField(min_value=0, max_value=2_000_000_000, widget=forms.HiddenInput)
    ids = "draft"

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": f"{self.ids}_%s", **kwargs})
        self.currency = currency
        if (price := self.fields.get("price")) is not None:
            price.currency = currency  # type: ignore[attr-defined]  # it is an Amount


class AddForm(DraftForm):
    """A new line; with further choices on the quote it says which one it is for."""

    choice = forms.ChoiceField(label="For", required=False, choices=FOR)

    def __init__(self, *args: Any, further: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not further:
            del self.fields["choice"]


class RemedyForm(AddForm):
    ids = "remedy"
    remedy = text("Remedy", 120, required="Choose what is to be done.", widget=short(list="remedies"))
    minutes = forms.IntegerField(
        label="Minutes",
        required=False,
        min_value=0,
        max_value=6000,
        help_text="Empty: the standard.",
        widget=short(size=5, inputmode="numeric"),
        error_messages={"invalid": "Minutes are a whole number."},
    )
    price = Amount(label="Price", currency="USD", required=False, help_text=BY_RULE)


class PartForm(AddForm):
    ids = "part"
    part = text(
        "Part",
        120,
        required="Scan a part, or type its number or name.",
        widget=short(list="parts", **{"data-takes-scans": "", "autocapitalize": "characters"}),
    )
    quantity = Pieces()
    price = Amount(label="Price of one", currency="USD", required=False, help_text=BY_RULE)

    def clean_quantity(self) -> Decimal:
        number: Decimal = self.cleaned_data["quantity"]
        if number != number.to_integral_value():
            raise forms.ValidationError("Parts are whole pieces.")
        return number


class OtherForm(AddForm):
    ids = "other"
    kind = forms.ChoiceField(
        label="Kind",
        choices=[
            ("rush", "Rush"),
            ("fee", "Fee, or a reduction"),
            ("media", "Storage medium"),
            ("labour", "Other work"),
            ("part", "Part from outside the stockroom"),
            ("post", "Return post"),
        ],
    )
    text = text("In words", 200, required="Say what it is, as the customer will read it.", widget=short())
    quantity = Pieces()
    price = Amount(
        label="Price of one",
        currency="USD",
        lowers=True,
        required=False,
        help_text="A reduction is a fee with a minus.",
    )
    still_charged = forms.BooleanField(label="Owed even if the repair fails", required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        price = cleaned.get("price")
        if price is not None and price < 0 and cleaned.get("kind") != "fee":
            self.add_error("price", "A price cannot be below nought. Only a fee can lower the total.")
        return cleaned


class LineForm(DraftForm):
    """One line that is on the draft already."""

    quantity = Pieces()
    price = Amount(label="Price of one", currency="USD", lowers=True, required=False)
    choice = forms.ChoiceField(label="For which choice", required=False, choices=FOR)
    optional = forms.BooleanField(label="Optional extra", required=False)
    extra_text = text("Name of the extra", 80, widget=short())

    def __init__(self, *args: Any, number: int, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": f"line{number}_%s", **kwargs})
        self.number = number
        for name in ("quantity", "price", "choice", "optional", "extra_text"):
            self.fields[name].widget.attrs["form"] = f"line-{number}"


class WordsForm(DraftForm):
    """What stands above the price, and the day that is promised."""

    ids = "words"
    words = text("Words with the price", 2000, widget=forms.Textarea(attrs={"rows": 3}))
    promise = forms.DateField(
        label="Done by",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Write the day as 2026-11-27."},
    )

    def __init__(self, *args: Any, today: dt.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_promise(self) -> dt.date | None:
        day: dt.date | None = self.cleaned_data["promise"]
        if day is not None and day < self.today:
            raise forms.ValidationError("That day is past. Promise one from today on.")
        return day


class SendForm(forms.Form):
    """What was looked at before sending: the draft's version and the digest of what was shown."""

    draft = forms.IntegerField(widget=forms.HiddenInput)
    looked_at = forms.CharField(max_length=64, widget=forms.HiddenInput)


class PressForm(forms.Form):
    """A button and nothing to fill in; it carries what was wrong with pressing it."""
