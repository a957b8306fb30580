"""What an order cost beside parts, post and fees."""

from typing import Any

from django import forms

from shop.traveller.bodies.readings import new_key
from shop.traveller.forms.bill import AmountField


class CostForm(forms.Form):
    """A parcel that was lost, a claim that was turned down: a loss of the shop's own."""

    what = forms.CharField(
        label="What it was for",
        max_length=160,
        widget=forms.TextInput,
        error_messages={"required": "Say what it was for."},
    )
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "cost_%s", "initial": {"key": new_key()}, **kwargs})
        self.fields["amount"] = AmountField(currency=currency, label="How much it was")
        self.order_fields(["what", "amount", "key"])
