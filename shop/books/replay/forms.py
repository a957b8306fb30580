"""What is changed for a replay, as it is typed: every field may stay empty, which leaves a thing as it was."""

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from intake.money import MoneyError, parse_amount
from intake.request_words import plain_text
from shop.books.house import smallest_units
from shop.books.lines import House
from shop.books.replay.shapes import Rules
from shop.office.editing import Number

HUNDRED = 100
MOST_PERCENT = 1_000
MOST_MINUTES = 10_000


class Sum(forms.CharField):
    """An amount in the shop's currency, nought as well; gives Decimal or None."""

    def __init__(self, **kwargs: Any) -> None:
        self.currency = "USD"
        attrs = {"inputmode": "decimal", "autocomplete": "off", "size": 12, "maxlength": 40}
        super().__init__(required=False, widget=forms.TextInput(attrs=attrs), **kwargs)

    def clean(self, value: Any) -> Decimal | None:
        text = plain_text(str(value or "")).strip()
        if len(text) > 40:
            raise ValidationError("That is too long for an amount. Type one such as 120.50.")
        try:
            return parse_amount(text, self.currency) if text else None
        except MoneyError as fault:
            raise ValidationError(str(fault)) from fault


class ReplayForm(forms.Form):
    """Price, answers, limit, cover and stop rule."""

    labour = Number(
        label="Labour dearer by, %", required=False, min_value=-HUNDRED, max_value=MOST_PERCENT,
        help_text="10 is a tenth more, -10 a tenth less.",
    )  # fmt: skip
    remedy = forms.ChoiceField(
        label="For", required=False,
        error_messages={"invalid_choice": "No order that left had that remedy. Choose another."},
    )  # fmt: skip
    floor = Sum(label="Labour at least", help_text="Of an order whose labour is charged at all.")
    fewer = Number(
        label="Fewer who say yes, of 100", required=False, max_value=HUNDRED,
        help_text="For each 10 % more on the whole quote. Empty: everybody still says yes.",
    )  # fmt: skip
    limit = Sum(label="Everybody's standing limit", help_text="Work up to this sum starts without asking.")
    cover_above = Sum(label="Cover bought above", help_text="A declared value, such as 100.")
    cover_percent = Number(
        label="It costs, %", required=False, max_value=HUNDRED, help_text="Of the part above that value."
    )
    cover_fixed = Sum(label="And for each parcel")
    stop_after = forms.IntegerField(
        label="Stop looking after, minutes", required=False, min_value=1, max_value=MOST_MINUTES,
        help_text="What is not found by then goes home as it came.",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "size": 6}),
        error_messages={"invalid": "Type a whole number of minutes, such as 60."},
    )  # fmt: skip

    def __init__(self, data: Any = None, *, house: House, remedies: Iterable[str]) -> None:
        asked = data if data and any(data.get(name) for name in self.base_fields) else None
        super().__init__(asked)
        self.house = house
        choices = self.fields["remedy"]
        assert isinstance(choices, forms.ChoiceField)
        choices.choices = [("", "every remedy"), *((name, name) for name in remedies)]
        for field in self.fields.values():
            if isinstance(field, Sum):
                field.currency = house.currency

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        if given.get("remedy") and given.get("labour") is None and "labour" not in self.errors:
            self.add_error("labour", "Say by how much the labour of that remedy changes.")
        costs = given.get("cover_percent") or given.get("cover_fixed")
        if costs and given.get("cover_above") is None and "cover_above" not in self.errors:
            self.add_error("cover_above", "Say above which declared value cover is bought.")
        dearer = given.get("labour") is not None or given.get("floor") is not None
        if given.get("fewer") and not dearer and not {"labour", "floor"} & set(self.errors):
            self.add_error(
                "fewer", "Fewer say yes only where a price changes. Change the price of labour too."
            )
        return given

    def rules(self) -> Rules:
        """What was asked for; nothing changed where the form is empty or does not hold."""
        if not self.is_bound or not self.is_valid():
            return Rules()
        given = self.cleaned_data
        return Rules(
            labour=None if given["labour"] is None else 1 + _exact(given["labour"]) / HUNDRED,
            remedy=given["remedy"],
            floor=self._units("floor"),
            fewer=_exact(given["fewer"]),
            limit=self._units("limit"),
            cover_above=self._units("cover_above"),
            cover_percent=_exact(given["cover_percent"]),
            cover_fixed=self._units("cover_fixed") or 0,
            stop_after=given["stop_after"],
        )

    def _units(self, name: str) -> int | None:
        amount = self.cleaned_data[name]
        return None if amount is None else smallest_units(amount, self.house.digits)


def _exact(number: Decimal | None) -> Fraction:
    return Fraction(number or 0)
