"""Forms of the stockroom."""

import re
from decimal import Decimal
from typing import Any

from django import forms

from intake.money import MoneyError, parse_amount
from quotes.lots import held
from quotes.models import Lot, Part
from shop.office.price_words import tax_kinds
from shop.stockroom.lots import STOP_REASONS
from shop.stockroom.register import Described
from shop.traveller.forms.bill import AmountField
from shop.traveller.forms.diagnosis import short, text

MOST = 100_000


def whole(label: str, *, least: int, required: bool = True, help_text: str = "") -> forms.IntegerField:
    return forms.IntegerField(
        label=label,
        required=required,
        min_value=least,
        max_value=MOST,
        help_text=help_text,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "size": 7}),
        error_messages={
            "required": "Type a number.",
            "invalid": "Write a whole number.",
            "min_value": f"It cannot be below {least}.",
            "max_value": "That is more than a bin holds: at most 100,000.",
        },
    )


class CostField(AmountField):
    """A cost of one piece; up to four digits after the point, since small parts come by the thousand."""

    def clean(self, value: Any) -> Any:
        typed = forms.CharField.clean(self, value)
        plain = typed.replace(",", ".")
        if re.fullmatch(r"[0-9]{1,6}\.[0-9]{3,4}", plain):
            return Decimal(plain)
        try:
            return parse_amount(typed, self.currency) if typed else None
        except MoneyError as fault:
            raise forms.ValidationError(str(fault)) from fault


class DescribeForm(forms.Form):
    """What a part is; the pieces in its bin are no part of this."""

    name = text("Name", 120, required="Say what it is.", widget=short())
    fits = text("Fits", 200, widget=short(), help_text="Makes and models, or any.")
    bin = text("Bin", 20, widget=short(size=8))
    reorder_at = whole("Buy more at", least=0, required=False, help_text="Free pieces; nought for never.")
    active = forms.BooleanField(label="In use", required=False, initial=True)

    special = forms.BooleanField(
        label="Ordered for one job", required=False, help_text="A deposit may be asked for it."
    )

    def __init__(self, *args: Any, currency: str, owner: bool, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "describe_%s", **kwargs})
        self.fields["list_price"] = AmountField(
            currency=currency,
            label="Price",
            required=False,
            help_text="Of one piece, with or without tax as the rates say. Left empty, the rule of the rates makes it.",
        )
        if owner:
            self.fields["minimum_price"] = AmountField(
                currency=currency,
                label="Smallest price",
                required=False,
                help_text="No list, rule or trade tier goes below it.",
            )
            self.fields["tax_kind"] = forms.ChoiceField(
                label="Taxed", choices=tax_kinds("a part"), required=False
            )
        self.order_fields([
            "number", "name", "fits", "condition", "bin", "list_price", "minimum_price", "tax_kind", "reorder_at",
            "special", "active",
        ])  # fmt: skip

    def described(self, part: Part | None = None) -> Described:
        """What was typed; what only the owner types stays as it is on `part` where somebody else did."""
        given, old = self.cleaned_data, part or Part()
        return Described(
            name=given["name"],
            fits=given["fits"],
            bin=given["bin"],
            list_price=given["list_price"],
            minimum_price=given.get("minimum_price", old.minimum_price),
            tax_kind=given.get("tax_kind", old.tax_kind),
            special=given["special"],
            reorder_at=given["reorder_at"] or 0,
            active=given["active"],
        )


class NewPartForm(DescribeForm):
    """A part that was not in the stock before."""

    number = text("Part number", 30, required="Give it a number.", widget=short(size=14))
    condition = forms.ChoiceField(label="Condition", choices=Part.Condition.choices)

    def clean_number(self) -> str:
        number: str = self.cleaned_data["number"].upper()
        if not re.fullmatch(r"[A-Z0-9][A-Z0-9./_-]*", number):
            raise forms.ValidationError(
                "Letters, digits, points, strokes and dashes only, so that it can be scanned."
            )
        return number


class ReceiveForm(forms.Form):
    """Pieces that came in together; they become a lot."""

    quantity = whole("How many came in", least=1)
    supplier = text(
        "From whom", 80, required="Say where they came from.", widget=short(list="suppliers"),
        help_text="The supplier, or the donor board they were taken from.",
    )  # fmt: skip
    marks = text(
        "Their marks", 80, widget=short(), help_text="The supplier's lot or date code, as on the bag."
    )
    note = text("Note", 150, widget=forms.TextInput, help_text="Such as the number of the delivery.")
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "receive_%s", **kwargs})
        self.fields["unit_cost"] = CostField(currency=currency, label="Cost of one piece")
        self.order_fields(["quantity", "unit_cost", "supplier", "marks", "note", "key"])


class StopLotForm(forms.Form):
    """Why no more of a lot is fitted."""

    reason = forms.ChoiceField(
        label="Why it is stopped",
        choices=[("", "Choose"), *STOP_REASONS.items()],
        error_messages={"required": "Choose why it is stopped."},
    )
    words = text("In words", 150, widget=forms.TextInput, help_text="What was seen, on how many.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "stop_%s", **kwargs})


class OpenLotForm(forms.Form):
    """Why a lot that was stopped may be fitted again."""

    why = text(
        "Why it may be fitted again",
        150,
        required="Say why it may be fitted again.",
        widget=forms.TextInput,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "open_%s", **kwargs})


class CountForm(forms.Form):
    """What was counted, in the whole bin or in one lot of it; those put aside are among them."""

    counted = whole("Counted in the bin", least=0, help_text="All of them, those put aside as well.")
    why = text("Why it differs, if it does", 200, widget=forms.TextInput)
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)
    found: dict[str, Lot]

    def __init__(self, *args: Any, part: Part, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "count_%s", **kwargs})
        self.found = {lot.number: lot for lot in part.lots.order_by("-pk")}
        if self.found:
            pieces = held(part)
            named = [(number, f"Lot {number}: {pieces.get(lot.pk, 0)}") for number, lot in self.found.items()]
            self.fields["lot"] = forms.ChoiceField(
                label="What was counted",
                required=False,
                choices=[("", f"The whole bin: {part.on_hand}"), *named],
                error_messages={"invalid_choice": "There is no such lot of this part."},
            )
            self.order_fields(["lot", "counted", "why", "key"])

    def clean_lot(self) -> Lot | None:
        return self.found.get(self.cleaned_data["lot"])
