"""Fields that keep what was typed and say in one sentence what is wrong."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from intake.models import Letterhead
from intake.money import MoneyError, parse_amount
from intake.request_words import plain_text

Choices = Iterable[tuple[str, str]]


class StepForm(forms.Form):
    """One page of the request. `head` is the letterhead in force; `lists` are the fields that hold several ticks."""

    lists: tuple[str, ...] = ()

    def __init__(self, *args: Any, head: Letterhead, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.head = head
        self.build()
        for name, field in self.fields.items():
            if field.required and field.error_messages.get("required") == "This field is required.":
                field.error_messages["required"] = f"{field.label}: this is needed."
            if field.required and not isinstance(field.widget, forms.HiddenInput):
                field.widget.attrs.setdefault("aria-required", "true")
            if name in self.lists or isinstance(field, forms.ChoiceField):
                field.widget.attrs.pop("aria-required", None)

    def build(self) -> None:
        """Fields that depend on the shop's own lists or on what was typed."""

    def names(self) -> list[str]:
        """The fields a draft keeps."""
        return list(self.fields)

    def said(self) -> list[tuple[str, str]]:
        """(label, value) of each answer, as it stands on the sheet; only for a valid form. Each page says its own."""
        return []

    def short(self) -> str:
        """The answers in one line."""
        return "; ".join(value.replace("\n", " ") for _, value in self.said() if value) or "Nothing given"

    def warnings(self) -> list[tuple[str, str]]:
        """(field, sentence) of what looks wrong and is taken all the same."""
        return []


class Words(forms.CharField):
    """Typed text: control characters are left out, and one that is too long is told its own length.

    `wanted` asks for it like a required field and takes the page without it all the same.
    """

    def __init__(self, *, most: int, rows: int = 0, wanted: bool = False, **kwargs: Any) -> None:
        self.most, self.wanted = most, wanted
        if rows:
            kwargs.setdefault("widget", forms.Textarea(attrs={"rows": rows}))
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> str:
        return super().to_python(plain_text(str(value)) if value is not None else value) or ""

    def validate(self, value: str) -> None:
        if not self.wanted:
            super().validate(value)
        if len(value) > self.most:
            raise ValidationError(
                f"Please shorten this: it has {len(value):,} characters, and the most is {self.most:,}."
            )


class Amount(forms.CharField):
    """An optional amount in the shop's currency; gives Decimal or None."""

    def __init__(self, **kwargs: Any) -> None:
        self.currency = "USD"
        kwargs.setdefault(
            "widget", forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "size": 12})
        )
        super().__init__(required=False, **kwargs)

    def clean(self, value: Any) -> Decimal | None:
        text = plain_text(str(value or "")).strip()
        if not text:
            return None
        if len(text) > 40:
            raise ValidationError("That is too long for an amount. Type one such as 120.50.")
        try:
            amount = parse_amount(text, self.currency)
        except MoneyError as fault:
            raise ValidationError(str(fault)) from fault
        if not amount:
            raise ValidationError("Leave this empty, or type an amount above nought.")
        return amount


class Ticks(forms.MultipleChoiceField):
    """Several answers to tick. Words that are no longer on the list are passed over in silence."""

    widget = forms.CheckboxSelectMultiple

    def to_python(self, value: Any) -> list[str]:
        known = {key for key, _ in self.choices}
        ticked = super().to_python(value)
        return [key for key, _ in self.choices if key in known & set(ticked)]


class Wanted(forms.ChoiceField):
    """One out of a list, asked for like a required field; the page is taken without it all the same."""

    def validate(self, value: Any) -> None:
        if value not in self.empty_values:
            super().validate(value)


class OneOf(forms.ChoiceField):
    """One answer out of few, as whole lines to press."""

    widget = forms.RadioSelect


def as_choices(words: Iterable[str]) -> list[tuple[str, str]]:
    return [(word, word) for word in words]
