"""The form of the rates: what a minute, a part and the post cost, and the days that go with them."""

from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms

from quotes.models import Rates
from quotes.pricing import KINDS
from shop.office.editing import Number, VersionedForm, Words

KIND_NAMES = {
    "labour": "Labour", "part": "Parts", "post": "Post", "rush": "Rush", "fee": "Fees", "media": "Data media",
}  # fmt: skip
BLANK_BANDS = 2
MOST_DAYS = 730


def _days(label: str, *, least: int = 1, hint: str = "") -> forms.IntegerField:
    return forms.IntegerField(
        label=label, min_value=least, max_value=MOST_DAYS, help_text=hint,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "size": 6}),
        error_messages={"invalid": "Type a whole number of days.", "required": "Type a number of days."},
    )  # fmt: skip


class RatesForm(VersionedForm):
    """All of the rates; bands of the markup and tax percents are fields of their own."""

    rate_per_minute = Number(label="A bench minute sells for", decimal_places=4)
    cost_per_minute = Number(
        label="A bench minute costs you",
        decimal_places=4,
        help_text="Pay, rent and tools by the minute; for the books only.",
    )
    minimum_charge = Number(label="Smallest charge for work", decimal_places=3)
    rush_fee = Number(label="Rush", decimal_places=3)
    declined_fee = Number(
        label="Fee when a quote is declined",
        decimal_places=3,
        help_text="Customers must be told before they send.",
    )
    return_post_price = Number(label="Return post sells for", decimal_places=3)
    return_post_cost = Number(label="Return post costs you", decimal_places=3)
    price_ending = Number(
        label="Prices by rule end in",
        decimal_places=3,
        required=False,
        help_text="Such as 0.90; empty: as they come.",
    )
    card_percent = Number(label="Card fee, percent", decimal_places=3, max_value=100)
    card_fixed = Number(label="Card fee, each payment", decimal_places=3)
    tax_name = Words(label="What the tax is called", max_length=40)
    tax_inclusive = forms.BooleanField(label="Prices are typed with the tax in them", required=False)
    rounding = forms.ChoiceField(
        label="Tax is rounded", choices=[("document", "once a rate, on the whole bill"), ("line", "line by line")],
        help_text="Your tax office says which.",
    )  # fmt: skip
    quote_days = _days("A quote stands for, days")
    reminder_days = Words(
        label="Reminders, days after the quote", max_length=60, required=False, help_text="Such as 3, 7, 14."
    )
    promise_days = _days("Promise, days after arrival", hint="What a fresh quote proposes.")
    warranty_days = _days("Warranty from delivery, days", least=0)
    payment_days = _days("Bills are due after, days", least=0)

    def __init__(self, data: Any = None, *, rates: Rates) -> None:
        bands = [(to or "", factor) for to, factor in rates.markup_bands]
        self.band_count = max(len(bands) + BLANK_BANDS, 4)
        initial: dict[str, Any] = {"seen": rates.version}
        for name in self.base_fields:
            if name != "seen":
                initial[name] = _plain(getattr(rates, name))
        initial["reminder_days"] = ", ".join(str(day) for day in rates.reminder_days)
        initial |= {f"tax_{kind}": rates.tax_percents.get(kind, "") for kind in KINDS}
        for number, (to, factor) in enumerate(bands):
            initial |= {f"band_{number}_to": to, f"band_{number}_factor": factor}
        super().__init__(data, initial=initial)
        for kind in KINDS:
            self.fields[f"tax_{kind}"] = Number(
                label=f"{KIND_NAMES[kind]}, percent", required=False, max_value=100, decimal_places=3
            )
        for number in range(self.band_count):
            self.fields[f"band_{number}_to"] = Number(
                label=f"Band {number + 1}: cost up to", required=False, decimal_places=4
            )
            self.fields[f"band_{number}_factor"] = Number(
                label=f"Band {number + 1}: times", required=False, decimal_places=4
            )

    def plain_fields(self) -> list[Any]:
        return [self[name] for name in self.base_fields if name != "seen"]

    def tax_fields(self) -> list[Any]:
        return [self[f"tax_{kind}"] for kind in KINDS]

    def band_fields(self) -> list[tuple[Any, Any]]:
        return [
            (self[f"band_{number}_to"], self[f"band_{number}_factor"]) for number in range(self.band_count)
        ]

    def clean_reminder_days(self) -> list[int]:
        words = [
            word for word in self.cleaned_data["reminder_days"].replace(";", ",").split(",") if word.strip()
        ]
        try:
            days = sorted({int(word) for word in words})
        except ValueError:
            raise forms.ValidationError("Type days with commas between them, such as 3, 7, 14.") from None
        if any(not 0 < day <= MOST_DAYS for day in days):
            raise forms.ValidationError(f"Each day lies between 1 and {MOST_DAYS}.")
        return days

    def clean(self) -> dict[str, Any]:
        """Bands rise; the one without a limit is the last."""
        cleaned = super().clean() or self.cleaned_data
        last: Decimal | None = Decimal(-1)
        for number in range(self.band_count):
            to, factor = cleaned.get(f"band_{number}_to"), cleaned.get(f"band_{number}_factor")
            if factor is None:
                if to is not None:
                    self.add_error(f"band_{number}_factor", "Say how many times the cost, such as 2.")
                continue
            if factor < 1:
                self.add_error(f"band_{number}_factor", "Under 1 a part would sell below its cost.")
            if last is None or (to is not None and to <= last):
                self.add_error(f"band_{number}_to", "Bands rise, and the one for any cost comes last.")
            last = to
        return cleaned

    def changes(self) -> dict[str, Any]:
        given = self.cleaned_data
        plain = {name: given[name] for name in self.base_fields if name != "seen"}
        percents = {kind: given.get(f"tax_{kind}") for kind in KINDS}
        bands = [
            [
                None if given.get(f"band_{n}_to") is None else str(given[f"band_{n}_to"]),
                str(given[f"band_{n}_factor"]),
            ]
            for n in range(self.band_count)
            if given.get(f"band_{n}_factor") is not None
        ]
        return plain | {
            "tax_percents": {kind: str(percent) for kind, percent in percents.items() if percent},
            "markup_bands": bands,
        }


def _plain(value: Any) -> Any:
    """A price without the noughts the database adds, at two digits at least."""
    if not isinstance(value, Decimal):
        return value
    try:
        short = value.quantize(Decimal("0.01"))
    except InvalidOperation:
        return value
    return short if short == value else value.normalize()
