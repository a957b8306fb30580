"""Forms of money on the sheet: paid, paid back, let go unpaid."""

from decimal import Decimal
from typing import Any

from django import forms

from intake.money import MoneyError, parse_amount
from quotes.models import Payment
from shop.traveller.forms.diagnosis import short, text

MONEY = {"inputmode": "decimal"}


class AmountField(forms.CharField):
    """A typed sum as Decimal in the currency of the order; empty is None where it may stay empty."""

    def __init__(self, *, currency: str, longest: int = 20, **kwargs: Any) -> None:
        self.currency = currency
        kwargs.setdefault("widget", short(size=10, **MONEY))
        super().__init__(max_length=longest, **kwargs)
        self.error_messages["required"] = "Type an amount, such as 120 or 120.50."

    def clean(self, value: Any) -> Any:
        typed = super().clean(value)
        if not typed:
            return None
        try:
            return parse_amount(typed, self.currency)
        except MoneyError as fault:
            raise forms.ValidationError(str(fault)) from fault


def purpose_field(label: str, *, initial: str) -> forms.ChoiceField:
    """The bill, or a deposit; asked only where both can be."""
    return forms.ChoiceField(
        label=label,
        choices=[(one.value, one.label) for one in (Payment.Purpose.BILL, Payment.Purpose.DEPOSIT)],
        initial=initial,
        widget=forms.RadioSelect,
        error_messages={"required": "Say whether it is for the bill or a deposit."},
    )


class PayForm(forms.Form):
    """Money that came. The fee of a card is worked out from the rates unless the owner types another."""

    kind = forms.ChoiceField(
        label="How",
        choices=Payment.Kind.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Say how it was paid."},
    )
    note = text("Note", 200, widget=forms.TextInput, help_text="Such as the reference on the statement.")
    over = forms.BooleanField(label="Yes, that much came in", required=False)
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)

    def __init__(
        self,
        *args: Any,
        currency: str,
        sees_costs: bool,
        owed: Decimal | None = None,
        wanted: Decimal | None = None,
        coins: Decimal | None = None,
        **kwargs: Any,
    ) -> None:
        """`wanted`: what is still to come of a deposit that was agreed; only then is the purpose asked. `coins`: what is
        owed as coins can pay it, where that differs."""
        super().__init__(*args, **{"auto_id": "pay_%s", **kwargs})
        proposed = wanted or owed
        self.most = max(owed or Decimal(0), wanted or Decimal(0), coins or Decimal(0))
        self.fields["amount"] = AmountField(
            currency=currency,
            label="How much came in",
            initial=str(proposed) if proposed and proposed > 0 else "",
            help_text=f"In cash {coins} settles it." if coins else "",
        )
        if wanted:
            self.fields["purpose"] = purpose_field("What it is for", initial=Payment.Purpose.DEPOSIT)
        if sees_costs:
            self.fields["fee"] = AmountField(
                currency=currency,
                label="What the payment cost us",
                required=False,
                help_text="Left empty, a card's fee is worked out from the rates.",
            )
        self.order_fields(["purpose", "kind", "amount", "over", "fee", "note", "key"])

    def clean(self) -> dict[str, Any]:
        """More than is owed is asked about once: a point in the wrong place is booked for good otherwise."""
        cleaned = super().clean() or {}
        more = (cleaned.get("amount") or Decimal(0)) - self.most
        booked = Payment.objects.filter(key=cleaned.get("key", "")).exists()
        if more > 0 and not cleaned.get("over") and not booked:
            self.add_error("over", f"That is {more} more than is owed. Tick if so much really came in.")
        return cleaned


class RefundForm(forms.Form):
    """Money that went back."""

    kind = forms.ChoiceField(
        label="How it went back",
        choices=Payment.Kind.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Say how it went back."},
    )
    note = text("Why", 200, required="Say why it went back.", widget=forms.TextInput)
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)

    def __init__(
        self,
        *args: Any,
        currency: str,
        over: Decimal | None = None,
        held: Decimal | None = None,
        **kwargs: Any,
    ) -> None:
        """`over`: paid in excess of the bill. `held`: a deposit no bill has set off; only then is the purpose asked."""
        super().__init__(*args, **{"auto_id": "refund_%s", **kwargs})
        over = over if over and over > 0 else None
        proposed = over or held
        self.fields["amount"] = AmountField(
            currency=currency, label="How much went back", initial=str(proposed) if proposed else ""
        )
        if held:
            usual = Payment.Purpose.BILL if over else Payment.Purpose.DEPOSIT
            self.fields["purpose"] = purpose_field("What it was paid for", initial=usual)
        self.order_fields(["purpose", "kind", "amount", "note", "key"])


class LetGoForm(forms.Form):
    """A person lets it go unpaid, with the reason."""

    reason = text(
        "Why it may go unpaid",
        300,
        required="Say why it may go unpaid.",
        help_text="It stands on the sheet for good, with your name.",
        widget=forms.TextInput,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "let_go_%s", **kwargs})
