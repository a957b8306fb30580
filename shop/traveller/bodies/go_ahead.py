"""Station 50: the customer's answer."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.forms import Form
from django.utils import timezone

from intake import wording
from intake.models import Letter, Order, Person
from quotes import deposits
from quotes.models import Decision, Quote
from shop.traveller.forms.go_ahead import NotedAnswerForm
from shop.traveller.quoting import offer_of


def context(order: Order, *, person: Person, at: dt.datetime, forms: Mapping[str, Form]) -> dict[str, Any]:
    """The quote as it was sent and how long it stands; an answer to be noted; or that it has lapsed."""
    quote = order.quotes.select_related("finding", "end", "decision", "sent_by").order_by("-revision").first()
    if quote is None:
        return {}
    lapsed = hasattr(quote, "end") or at > quote.valid_until
    around: dict[str, Any] = {
        **offer_of(quote),
        "finding": quote.finding,
        "lapsed": lapsed,
        "left": days_left(quote, at),
        "reminders": list(_letters(order, "quote_reminder", quote.sent_at)),
        "letter": _letters(order, "quote", quote.sent_at).last(),
        "asked": [row for row in order.messages.all() if row.from_customer and row.answered_at is None],
        "again_form": forms.get("again"),
        "deposit": quote.deposit or None,
        "shop_cost": quote.shop_cost if person.is_owner else None,
    }
    if lapsed:
        return {**around, "sign_form": "reopen", "sign_words": "Send again", "rail": _again()}
    return {**around, "noted_form": forms.get("noted") or NotedAnswerForm(quote=quote, at=at)}


def signed_context(order: Order, *, person: Person) -> dict[str, Any]:
    """Each answer: which revision, what, by whom, how, when, and the digest it stands on."""
    rows = Decision.objects.filter(quote__order=order).select_related("quote", "noted_by", "stop")
    answers = [{"decision": row, "extras": extras_named(row)} for row in rows.order_by("at", "id")]
    return {"answers": answers, "deposit_wanted": deposits.wanted(order)}


def extras_named(decision: Decision) -> list[str]:
    """The extras that were taken, by their names on the quote."""
    named = {row["key"]: row["text"] for row in decision.quote.shown.get("extras") or ()}
    return [named.get(key, key) for key in decision.extras]


def days_left(quote: Quote, at: dt.datetime) -> str:
    """'4 days left', 'the last day'; days are those of the shop's calendar."""
    days = (timezone.localdate(quote.valid_until) - timezone.localdate(at)).days
    return f"{wording.count(days, 'day')} left" if days > 0 else "This is the last day"


def _letters(order: Order, kind: str, since: dt.datetime) -> Any:
    return Letter.objects.filter(order=order, kind=kind, created_at__gte=since).order_by("created_at")


def _again() -> dict[str, Any]:
    return {"keys": [], "sign": {"words": "Write it again at today's prices", "form": "reopen"}}
