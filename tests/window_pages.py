"""The customer's side in tests: the mailed link, the window, and all that looking must not change."""

import datetime as dt
from typing import Any
from urllib.parse import urlsplit

from django.test import Client
from django.urls import reverse

from intake import tokens
from intake.models import HistoryEntry, Letter, Message, Order, Paper

AT = dt.datetime(2026, 2, 2, 9, 0, tzinfo=dt.UTC)


def letter_link(order: Order) -> str:
    """The path that the customer's mail leads to."""
    return urlsplit(tokens.address_of(tokens.give_link(order, at=AT))).path


def let_in(order: Order, client: Client) -> Client:
    assert client.get(letter_link(order)).status_code == 303
    return client


def page_of(order: Order, client: Client) -> str:
    answer = let_in(order, client).get(reverse("shop:window", args=[order.code]))
    assert answer.status_code == 200
    return answer.content.decode()


def everything(order: Order) -> tuple[Any, ...]:
    """What must not change by looking."""
    order.refresh_from_db()
    return (
        order.version,
        order.station,
        HistoryEntry.objects.count(),
        Letter.objects.count(),
        Message.objects.count(),
        Paper.objects.count(),
    )
