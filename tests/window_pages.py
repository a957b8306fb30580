"""The customer's side in tests: the mailed link, the window, and all that looking must not change."""

import datetime as dt
import re
from decimal import Decimal
from html import unescape
from typing import Any
from urllib.parse import urlsplit

from django.test import Client
from django.urls import reverse

from intake import tokens
from intake.models import HistoryEntry, Letter, Message, Order, Paper
from quotes import offers
from quotes.models import Quote, QuoteEnd

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


def said(page: Any) -> str:
    """The words of a page, without marks and idle spaces."""
    markup = page if isinstance(page, str) else page.content.decode()
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", markup)).split())


def read_back(client: Client, quote: Quote, choice: str, *extras: str) -> Any:
    given = {"quote": quote.digest, "choice": choice, "extras": list(extras)}
    return client.get(f"/your/{quote.order.code}/answer/", given)


def sign(client: Client, quote: Quote, choice: str, **more: str) -> Any:
    given = {"quote": quote.digest, "choice": choice, "typed_name": "Mara Ellwick", **more}
    return client.post(f"/your/{quote.order.code}/answer/", given)


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


def several_ways(order: Order, *, deposit: str = "40.00") -> Quote:
    """A further revision with every choice, two extras, a deposit and what changed; written by hand, not by a draft."""
    old = order.quotes.get()
    QuoteEnd.objects.create(quote=old, why=QuoteEnd.Why.SUPERSEDED, at=AT)
    shown = _several(old.shown, deposit)
    fields = {field.attname: getattr(old, field.attname) for field in Quote._meta.concrete_fields}
    fields |= {
        "id": None, "revision": 2, "form_key": f"{old.form_key[:60]}-2", "shown": shown,
        "digest": offers.digest_of(shown), "total": Decimal("120.00"), "no_fix_total": Decimal("12.00"),
        "deposit": Decimal(deposit or 0),
    }  # fmt: skip
    return Quote.objects.create(**fields)


def _several(old: dict[str, Any], deposit: str) -> dict[str, Any]:
    line = {"kind": "labour", "quantity": "1", "still_charged": False, "extra": ""}
    work = {"words": "", "tax": "0.00", "taxes": [], "promise": "2026-02-12", "warranty_days": 90}
    mend = {
        **work, "choice": "mend", "label": "Mend it", "total": "120.00", "net": "115.00", "tax": "5.00",
        "lines": [
            {**line, "text": "New socket and its line", "amount": "120.00"},
            {**line, "kind": "fee", "text": "Friends of the shop", "amount": "-5.00"},
            {**line, "kind": "part", "text": "Front film", "amount": "19.00", "extra": "e1"},
            {**line, "kind": "labour", "text": "Clean the vents", "amount": "11.00", "extra": "e2"},
        ],
        "taxes": [
            {"name": "Tax", "rate": "5", "category": "S", "reason": "", "base": "100.00", "tax": "5.00"},
            {"name": "tax", "rate": "0", "category": "E", "reason": "the post abroad is exempt", "base": "15.00", "tax": "0.00"},
        ],
        "chance": "Good. We know the fault and how to mend it.", "data_words": "We work to keep it and cannot promise it.",
        "fails_words": "The work is not charged.", "no_fix_total": "12.00",
        "totals": {"": "120.00", "e1": "139.00", "e2": "131.01", "e1,e2": "150.02"},
    }  # fmt: skip
    data = {
        **work, "choice": "data", "label": "Save the data only", "total": "140.00", "net": "140.00", "warranty_days": 0,
        "lines": [{**line, "text": "Lift the storage and read it", "amount": "140.00"}],
        "chance": "Even. It depends on what still answers.", "data_words": "It comes home on a stick.",
        "fails_words": "", "no_fix_total": "12.00", "totals": {"": "140.00"},
    }  # fmt: skip
    clean = {
        **work, "choice": "clean", "label": "Clean it, without a promise", "total": "60.00", "net": "60.00",
        "lines": [{**line, "text": "Clean the board", "amount": "60.00"}], "warranty_days": 0, "promise": "2026-02-05",
        "chance": "Poor. It helps now and then.", "data_words": "Nothing is read.",
        "fails_words": "Cleaning is owed whether it helps or not.", "no_fix_total": "60.00",
        "totals": {"": "60.00", "e2": "71.01"},
    }  # fmt: skip
    ends = [choice for choice in old["choices"] if choice["choice"] in ("back", "recycle")]
    return {
        **old, "revision": 2, "total": "120.00", "choices": [mend, data, clean, *ends], "replaces": 1,
        "extras": [
            {"key": "e1", "text": "Front film", "choices": ["mend"], "amounts": {"mend": "19.00"}},
            {"key": "e2", "text": "Clean the vents", "choices": ["mend", "clean"], "amounts": {"mend": "11.01", "clean": "11.01"}},
        ],
        "deposit": {"amount": deposit, "words": "It comes back if the part cannot be had."} if deposit else None,
        "changes": [
            {"kind": "changed", "text": "New socket and its line", "before": "96.00", "after": "120.00", "change": "24.00"},
            {"kind": "added", "text": "Friends of the shop", "before": None, "after": "-5.00", "change": "-5.00"},
            {"kind": "gone", "text": "Wire", "before": "4.00", "after": None, "change": "-4.00"},
            {"kind": "same", "text": "Return post", "before": "12.00", "after": "12.00", "change": "0.00"},
        ],
    }  # fmt: skip
