"""Receiving: what is expected, and a parcel nobody announced."""

import datetime as dt
import secrets
from typing import Any

from django.core.paginator import Paginator
from django.db.models import F, QuerySet
from django.forms import Form

from intake.models import Order
from intake.stations import Station
from shop.traveller.forms.goods_in import NoFormParcelForm

A_PAGE = 50


def expected() -> QuerySet[Order]:
    """Orders whose parcel has not been opened: those in the post first, the longest on its way on top."""
    waiting = Order.objects.filter(station=Station.GOODS_IN)
    return waiting.select_related("device", "customer").order_by(
        F("posted_at").asc(nulls_last=True), "created_at", "id"
    )


def receiving_context(*, form: Form | None, page: int | str, at: dt.datetime) -> dict[str, Any]:
    """Keys: page (of orders), form, at."""
    return {
        "page": Paginator(expected(), A_PAGE).get_page(page),
        "form": form or NoFormParcelForm(initial={"form_key": secrets.token_urlsafe(24)}),
        "at": at,
    }
