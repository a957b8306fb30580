"""The parcel is with the post: what was sent, and that it arrived."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.forms import Form

from intake.models import Order, Person
from shop.traveller.forms.home import DeliveredForm


def context(order: Order, *, person: Person, at: dt.datetime, forms: Mapping[str, Form]) -> dict[str, Any]:
    """Keys: parcel, form."""
    return {
        "parcel": getattr(order, "parcel", None),
        "form": forms.get("delivered") or DeliveredForm(at=at),
        "sign_form": "delivered",
        "sign_words": "Delivered",
        "sign_note": "then it is home",
        # No key: one press too many of the key that sent the parcel would close the order and write to the customer.
    }
