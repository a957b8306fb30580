"""Station 40: what it costs."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.forms import Form

from intake.models import Order, Person


def context(order: Order, *, person: Person, at: dt.datetime, forms: Mapping[str, Form]) -> dict[str, Any]:
    """Nothing to do here yet."""
    return {}
