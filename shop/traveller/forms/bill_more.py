"""Further forms of money on the sheet: credit whole or in part, write off, disputes, a line on top of the quote."""

from decimal import Decimal
from typing import Any

from django import forms

from intake.money import quantize
from quotes.models import Invoice, Payment
from shop.traveller.forms.bill import AmountField
from shop.traveller.forms.diagnosis import text
from shop.traveller.forms.quote import Pieces

ALL, SOME = "all", "some"
ON_TOP = [
    ("labour", "Work"),
    ("part", "Part"),
    ("fee", "Fee"),
    ("media", "Data medium"),
    ("post", "Post"),
    ("rush", "Rush"),
]


class SomeOf(Pieces):
    """How many of a line; empty is none of it."""

    def clean(self, value: Any) -> Any:
        return super().clean(value) if str(value or "").strip() else None


class CreditForm(forms.Form):
    """The owner undoes an invoice, whole or some quantities of its lines. `left`: by line number, what was not credited."""

    invoice = forms.IntegerField(widget=forms.HiddenInput)
    what = forms.ChoiceField(
        label="What is credited",
        choices=[(ALL, "All that is left of it"), (SOME, "Only these quantities")],
        required=False,
        initial=ALL,
        widget=forms.RadioSelect,
    )
    why = text(
        "Why it is credited; the customer reads it",
        200,
        required="Say why it is credited; the customer reads it.",
        widget=forms.TextInput,
    )
    key = forms.CharField(max_length=64, required=False, widget=forms.HiddenInput)

    def __init__(
        self, *args: Any, invoice: Invoice, left: dict[int, Decimal], new_key: str = "", **kwargs: Any
    ) -> None:
        super().__init__(
            *args,
            **{
                "auto_id": f"credit_{invoice.pk}_%s",
                "initial": {"invoice": invoice.pk, "what": ALL, "key": new_key},
                **kwargs,
            },
        )
        self.row = invoice
        self.numbers: list[int] = []
        self.left = [number for number, rest in left.items() if rest]
        for line in invoice.lines.all():
            # A line with nothing left has its field too: a form that is sent twice must read alike.
            label = f"{line.text}, of {left.get(line.number, line.quantity).normalize():f}"
            self.fields[f"line_{line.number}"] = SomeOf(label=label, initial="")
            self.numbers.append(line.number)

    def line_fields(self) -> list[Any]:
        """What can still be credited."""
        return [self[f"line_{number}"] for number in self.numbers if number in self.left]

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        typed = any(given.get(f"line_{number}") for number in self.numbers)
        if given.get("what") == SOME and not typed and not self.errors:
            self.add_error("what", "Type how many of a line are credited.")
        if given.get("what") != SOME and typed:
            self.add_error("what", "Quantities are typed below. Choose only these, or clear them.")
        return given

    def quantities(self) -> dict[int, Decimal] | None:
        """By line number; None for all that is left."""
        if self.cleaned_data.get("what") != SOME:
            return None
        typed = {number: self.cleaned_data.get(f"line_{number}") for number in self.numbers}
        return {number: quantity for number, quantity in typed.items() if quantity}


class WriteOffForm(forms.Form):
    """The owner gives up what is owed, or a part of it."""

    why = text("Why it is written off", 200, required="Say why it is written off.", widget=forms.TextInput)
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)

    def __init__(self, *args: Any, currency: str, owed: Decimal | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "write_off_%s", **kwargs})
        self.fields["amount"] = AmountField(
            currency=currency,
            label="How much is written off",
            initial=str(quantize(owed, currency)) if owed and owed > 0 else "",
        )
        self.order_fields(["amount", "why", "key"])


class MakeGoodForm(forms.Form):
    """The owner pays the customer beyond what is owed."""

    kind = forms.ChoiceField(
        label="How it was paid",
        choices=Payment.Kind.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Say how it was paid."},
    )
    why = text(
        "Why it is made good",
        200,
        required="Say why; the customer reads it.",
        help_text="The customer reads these words.",
        widget=forms.TextInput,
    )
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "make_good_%s", **kwargs})
        self.fields["amount"] = AmountField(currency=currency, label="How much was paid")
        self.order_fields(["kind", "amount", "why", "key"])


class DisputeForm(forms.Form):
    """The payer's bank took a payment back, for now."""

    payment = forms.IntegerField(widget=forms.HiddenInput)
    why = text(
        "The reason their bank gives",
        200,
        required="Say what the payer's bank gives as the reason.",
        widget=forms.TextInput,
    )
    answer_by = forms.DateField(
        label="The last day to answer",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Type a day such as 2026-03-01."},
    )
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)

    def __init__(self, *args: Any, payment: Payment, new_key: str = "", **kwargs: Any) -> None:
        super().__init__(
            *args,
            **{
                "auto_id": f"dispute_{payment.pk}_%s",
                "initial": {"payment": payment.pk, "key": new_key},
                **kwargs,
            },
        )
        self.row = payment
        currency = payment.currency
        self.fields["amount"] = AmountField(
            currency=currency, label="How much", initial=str(quantize(payment.amount, currency))
        )
        self.fields["fee"] = AmountField(
            currency=currency, label="What the bank charges us for it", required=False
        )
        self.order_fields(["payment", "amount", "fee", "why", "answer_by", "key"])


class DisputeEndForm(forms.Form):
    """How a dispute ended."""

    dispute = forms.IntegerField(widget=forms.HiddenInput)
    won = forms.ChoiceField(
        choices=[("yes", "Won"), ("no", "Lost")], error_messages={"required": "Say how it ended."}
    )


class OnTopForm(forms.Form):
    """A line on the coming bill, on top of what was agreed."""

    kind = forms.ChoiceField(
        label="Kind", choices=ON_TOP, error_messages={"required": "Say what kind of line it is."}
    )
    text = text(
        "What it is for; the customer reads it", 200, required="Say what it is for; the customer reads it."
    )
    quantity = Pieces()
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "on_top_%s", **kwargs})
        self.fields["unit_price"] = AmountField(currency=currency, label="What one costs")
        self.order_fields(["kind", "text", "quantity", "unit_price", "key"])
