"""Forms of a remedy, a surcharge and a trade tier."""

from decimal import Decimal
from typing import Any

from django import forms

from intake.money import quantize
from quotes.models import Remedy, Surcharge, TradeTier
from quotes.price_lists.columns import SURCHARGE_KINDS
from quotes.price_lists.rows import minutes_faults
from shop.office.editing import Number, Words
from shop.office.forms_house import Lines
from shop.office.price_words import KIND_NAMES, factor_less, percent_less, tax_kinds
from shop.traveller.forms.bill import AmountField

MOST_MINUTES = 6000


def _whole(label: str, *, least: int, most: int, required: bool = True, hint: str = "") -> forms.IntegerField:
    return forms.IntegerField(
        label=label, min_value=least, max_value=most, required=required, help_text=hint,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "size": 6}),
        error_messages={"invalid": "Type a whole number.", "required": "Type a whole number."},
    )  # fmt: skip


def _sum(amount: Decimal | None, currency: str) -> Decimal | None:
    """A sum without the noughts the database adds, at the currency's digits."""
    if amount is None:
        return None
    exact = quantize(amount, currency)
    return exact if exact == amount else amount.normalize()


class RemedyForm(forms.Form):
    """A labour operation."""

    name = Words(label="Name at the bench", max_length=120)
    plain = Words(label="As the customer reads it", max_length=200, required=False)
    fault_class = Words(label="Kind of fault it answers", max_length=60, required=False)
    minutes = _whole("Standard minutes", least=1, most=MOST_MINUTES, hint="What a usual one takes.")
    minutes_low = _whole("When all goes well, minutes", least=1, most=MOST_MINUTES, required=False)
    minutes_high = _whole("When it is stubborn, minutes", least=1, most=MOST_MINUTES, required=False)
    tax_kind = forms.ChoiceField(label="Taxed", choices=tax_kinds("labour"), required=False)
    warranty_days = _whole("Warranty days, if other than usual", least=0, most=3650, required=False)
    steps = Lines(
        label="Steps",
        required=False,
        widget=forms.Textarea(attrs={"rows": 8}),
        help_text="What the bench ticks, one a line.",
    )
    active = forms.BooleanField(label="Offer it in quotes", required=False)

    def __init__(self, data: Any = None, *, remedy: Remedy | None, currency: str) -> None:
        row = remedy or Remedy()
        initial = {name: getattr(row, name) for name in self.base_fields}
        initial["flat_price"] = _sum(row.flat_price, currency)
        super().__init__(data, initial=initial)
        self.fields["flat_price"] = AmountField(
            currency=currency, label="Fixed price", required=False, help_text="Empty: minutes times the rate."
        )
        self.order_fields(
            ["name", "plain", "fault_class", "minutes", "minutes_low", "minutes_high", "flat_price"]
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        given = [cleaned.get(name) for name in ("minutes", "minutes_low", "minutes_high")]
        for field, sentence in minutes_faults(*given):
            self.add_error(field, sentence)
        return cleaned


class SurchargeForm(forms.Form):
    """Something that comes on top: a sum, or a share of labour and parts."""

    name = Words(label="Name", max_length=80)
    plain = Words(label="As the customer reads it", max_length=200, required=False)
    kind = forms.ChoiceField(
        label="Kind of line", choices=[(kind, KIND_NAMES[kind]) for kind in SURCHARGE_KINDS]
    )
    percent = Number(
        label="A share of labour and parts, percent", decimal_places=3, min_value=Decimal("0.001"),
        max_value=100, required=False, help_text="Or a sum; one of the two.",
    )  # fmt: skip
    still_charged = forms.BooleanField(label="Owed even if the repair fails", required=False)
    active = forms.BooleanField(label="Offer it in quotes", required=False)

    def __init__(self, data: Any = None, *, surcharge: Surcharge | None, currency: str) -> None:
        row = surcharge or Surcharge()
        initial = {name: getattr(row, name) for name in self.base_fields}
        initial |= {
            "amount": _sum(row.amount, currency),
            "percent": None if row.percent is None else f"{row.percent.normalize():f}",
        }
        super().__init__(data, initial=initial)
        self.fields["amount"] = AmountField(currency=currency, label="A sum", required=False)
        self.order_fields(["name", "plain", "kind", "amount", "percent"])

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not {"amount", "percent"} & set(self.errors) and (cleaned.get("amount") is None) == (
            cleaned.get("percent") is None
        ):
            self.add_error("amount", "Give a sum or a share, one of the two.")
        return cleaned


class TierForm(forms.Form):
    """Prices of a kind of trade customer, typed as percents less."""

    name = Words(label="Name", max_length=60)
    labour_less = Number(
        label="Labour, percent less", decimal_places=2, min_value=-100, max_value=Decimal("99.99"),
        help_text="Below nought: dearer.",
    )  # fmt: skip
    parts_less = Number(
        label="Parts, percent less", decimal_places=2, min_value=-100, max_value=Decimal("99.99"),
        help_text="No part goes below its smallest price.",
    )  # fmt: skip
    post_free = forms.BooleanField(label="Return post is free for them", required=False)
    payment_days = _whole(
        "Bills are due after, days", least=0, most=365, required=False, hint="Empty: as usual."
    )
    active = forms.BooleanField(label="In use", required=False)

    def __init__(self, data: Any = None, *, tier: TradeTier | None) -> None:
        row = tier or TradeTier(labour_factor=Decimal(1), parts_factor=Decimal(1))
        initial = {name: getattr(row, name) for name in self.base_fields if not name.endswith("_less")}
        for name in ("labour", "parts"):
            percent = percent_less(getattr(row, f"{name}_factor"))
            initial[f"{name}_less"] = f"{percent.normalize():f}"
        super().__init__(data, initial=initial)

    def changed(self) -> dict[str, Any]:
        """What was typed, by the names of the row."""
        given = dict(self.cleaned_data)
        for name in ("labour", "parts"):
            given[f"{name}_factor"] = factor_less(given.pop(f"{name}_less"))
        return given
