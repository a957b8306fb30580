"""The form of the rates: what a minute, a part and the post cost, and the days that go with them."""

from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms

from intake.money import minor_units, quantize
from quotes.fee_words import diagnosis_policy
from quotes.models import Rates
from quotes.pricing import KINDS
from shop.office.editing import Number, VersionedForm, Words
from shop.office.price_words import KIND_NAMES
from shop.office.tax_choice import BY_KIND, chosen_rules, known_as, profile_choices

BLANK_BANDS = 2
FEE_HINT = (
    "A fee is said on the request form and the shipping form from the moment you save it, and on every quote. "
    "Confirm with a lawyer what your place asks."
)
OVERRUN_HINT = (
    "How far a bill may go over what was agreed without asking again. Laws differ: some set a sum or a share, "
    "some forbid it. Confirm with a lawyer."
)
SECTIONS: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("Work and parts", "", (
        "rate_per_minute", "cost_per_minute", "minimum_charge", "rush_fee", "price_ending", "cash_step",
    )),
    ("Looking for the fault", FEE_HINT, (
        "diagnosis", "declined_fee", "fee_waived_above",
    )),
    ("Post and cards", "", ("return_post_price", "return_post_cost", "card_percent", "card_fixed")),
    ("Above the quote", OVERRUN_HINT, ("overrun_rule", "overrun_sum", "overrun_percent")),
    ("Days and interest", "", (
        "quote_days", "reminder_days", "promise_days", "warranty_days", "payment_days", "interest_percent",
    )),
    ("Tax", "Confirm with a tax adviser.", (
        "tax_name", "tax_inclusive", "rounding", "tax_profile", "tax_profile_percent",
    )),
)  # fmt: skip
NOT_OF_THE_ROW = ("seen", "diagnosis", "tax_profile", "tax_profile_percent")
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
    diagnosis = forms.ChoiceField(
        label="What looking costs the customer",
        widget=forms.RadioSelect,
        choices=[
            ("free", "Free, whatever the answer"),
            ("declined", "A fee when the quote is declined"),
            ("waived", "A fee when the quote is declined, but not for a quote above a sum"),
        ],
    )
    declined_fee = Number(
        label="The fee", decimal_places=3, required=False, help_text="Customers are told before they send."
    )
    fee_waived_above = Number(label="No fee for a quote above", decimal_places=3, required=False)
    return_post_price = Number(label="Return post sells for", decimal_places=3)
    return_post_cost = Number(label="Return post costs you", decimal_places=3)
    price_ending = Number(
        label="Prices by rule end in",
        decimal_places=3,
        required=False,
        help_text="Such as 0.90; empty: as they come.",
    )
    cash_step = Number(
        label="Smallest coin, where totals paid in cash are rounded",
        decimal_places=3,
        required=False,
        help_text="Such as 0.05; empty: cash is not rounded.",
    )
    overrun_rule = forms.ChoiceField(
        label="A bill may go above the quote",
        choices=[
            ("none", "Never"),
            ("greater", "By a sum or a share, whichever is more"),
            ("share", "By a share"),
        ],
    )
    overrun_sum = Number(label="The sum", decimal_places=3, required=False)
    overrun_percent = Number(label="The share, percent", decimal_places=3, max_value=100, required=False)
    interest_percent = Number(
        label="Interest on late bills, percent a year",
        decimal_places=3,
        max_value=100,
        help_text="Simple, and only ever proposed to you. Laws set limits.",
    )
    card_percent = Number(label="Card fee, percent", decimal_places=3, max_value=100)
    card_fixed = Number(label="Card fee, each payment", decimal_places=3)
    tax_name = Words(label="What the tax is called", max_length=40)
    tax_inclusive = forms.BooleanField(label="Prices are typed with the tax in them", required=False)
    rounding = forms.ChoiceField(
        label="Tax is rounded", choices=[("document", "once a rate, on the whole bill"), ("line", "line by line")],
        help_text="Your tax office says which.",
    )  # fmt: skip
    tax_profile = forms.ChoiceField(label="Tax follows", required=False)
    tax_profile_percent = Number(
        label="Percent of those rules",
        decimal_places=3,
        max_value=100,
        required=False,
        help_text="For rules that have a rate; empty: the usual one.",
    )
    quote_days = _days("A quote stands for, days")
    reminder_days = Words(
        label="Reminders, days after the quote", max_length=60, required=False, help_text="Such as 3, 7, 14."
    )
    promise_days = _days("Promise, days after arrival", hint="What a fresh quote proposes.")
    warranty_days = _days("Warranty from delivery, days", least=0)
    payment_days = _days("Bills are due after, days", least=0)

    def __init__(self, data: Any = None, *, rates: Rates, currency: str) -> None:
        self.rates, self.currency = rates, currency
        bands = [(to or "", factor) for to, factor in rates.markup_bands]
        self.band_count = max(len(bands) + BLANK_BANDS, 4)
        initial: dict[str, Any] = {"seen": rates.version}
        for name in self.base_fields:
            if name not in NOT_OF_THE_ROW:
                initial[name] = _plain(getattr(rates, name))
        initial["reminder_days"] = ", ".join(str(day) for day in rates.reminder_days)
        key, percent = known_as(rates.tax_rules)
        initial |= {
            "diagnosis": diagnosis_policy(rates.declined_fee, rates.fee_waived_above),
            "tax_profile": key,
            "tax_profile_percent": _plain(percent),
        }
        initial |= {f"tax_{kind}": rates.tax_percents.get(kind, "") for kind in KINDS}
        for number, (to, factor) in enumerate(bands):
            initial |= {f"band_{number}_to": to, f"band_{number}_factor": factor}
        super().__init__(data, initial=initial)
        self.fields["tax_profile"].choices = profile_choices(rates.tax_rules)  # type: ignore[attr-defined]
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

    def sections(self) -> list[tuple[str, str, list[Any]]]:
        return [(name, hint, [self[field] for field in fields]) for name, hint, fields in SECTIONS]

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
        """Bands rise; the one without a limit is the last. A choice that needs a sum has it."""
        cleaned = super().clean() or self.cleaned_data
        self._clean_fee(cleaned)
        self._clean_overrun(cleaned)
        step = cleaned.get("cash_step")
        if step and quantize(step, self.currency) != step:
            self.add_error(
                "cash_step", f"{self.currency} has {minor_units(self.currency)} digits after the point."
            )
        self._clean_bands(cleaned)
        return cleaned

    def _clean_fee(self, cleaned: dict[str, Any]) -> None:
        policy = cleaned.get("diagnosis")
        if policy in ("declined", "waived") and not cleaned.get("declined_fee"):
            self.add_error("declined_fee", "Say how much, or let looking be free.")
        if policy == "waived" and not cleaned.get("fee_waived_above"):
            self.add_error("fee_waived_above", "Say from which quote on there is no fee.")

    def _clean_overrun(self, cleaned: dict[str, Any]) -> None:
        rule = cleaned.get("overrun_rule")
        if rule == "greater" and not (cleaned.get("overrun_sum") or cleaned.get("overrun_percent")):
            self.add_error("overrun_sum", "Say a sum, a share or both.")
        if rule == "share" and not cleaned.get("overrun_percent"):
            self.add_error("overrun_percent", "Say how many percent.")

    def _clean_bands(self, cleaned: dict[str, Any]) -> None:
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

    def changes(self) -> dict[str, Any]:
        given = self.cleaned_data
        plain = {name: given[name] for name in self.base_fields if name not in NOT_OF_THE_ROW}
        nought = Decimal(0)
        plain |= {
            "declined_fee": nought if given["diagnosis"] == "free" else given["declined_fee"],
            "fee_waived_above": given["fee_waived_above"] if given["diagnosis"] == "waived" else None,
            "cash_step": given["cash_step"] or None,
            "overrun_sum": given["overrun_sum"] or nought,
            "overrun_percent": given["overrun_percent"] or nought,
            "tax_rules": chosen_rules(
                given["tax_profile"] or BY_KIND, given["tax_profile_percent"], now=self.rates.tax_rules
            ),
        }
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
