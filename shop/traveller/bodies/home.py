"""The end of the sheet: how it ended, the warranty, and a comeback if there is one."""

import datetime as dt
import secrets
from collections.abc import Mapping
from typing import Any

from django.forms import Form
from django.utils import timezone

from intake.models import Order, Person
from shop.traveller.forms.home import ComebackForm


def context(order: Order, *, person: Person, at: dt.datetime, forms: Mapping[str, Form]) -> dict[str, Any]:
    """Keys: parcel, warranty, still_covered, wipe, came_back, form."""
    warranty = getattr(order, "warranty", None)
    today = timezone.localdate(at)
    return {
        "parcel": getattr(order, "parcel", None),
        "warranty": warranty,
        "still_covered": bool(warranty and warranty.ends >= today),
        "wipe": getattr(order, "wipe", None),
        "came_back": list(order.comebacks.all()),
        "form": forms.get("comeback") or ComebackForm(initial={"form_key": secrets.token_urlsafe(24)}),
    }
