"""The draft of a quote as the bench sees it: lines with their prices, what would be shown, what it costs the shop."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.forms import Form

from intake import wording
from intake.house import house
from intake.models import Letterhead, Order, Person
from quotes import decisions, offers
from quotes.drafts import Preview, preview, valid_until
from quotes.models import DecisionStop, Part, Quote, QuoteDraft, Rates
from quotes.pricing import Line
from quotes.refusals import Refused
from shop.traveller.forms.quote import LineForm
from shop.window.bill import bill_of, blocks_of, under_choices

CHANGED = "Something in it has changed since you looked. Please look at it once more."


def worked_out(draft: QuoteDraft, *, at: dt.datetime) -> tuple[Preview | None, str]:
    """The draft priced as of now; or nothing, and the sentence that says why it cannot be."""
    try:
        return preview(draft, at=at), ""
    except Refused as refusal:
        return None, refusal.sentence


def as_shown(order: Order, draft: QuoteDraft, worked: Preview, *, at: dt.datetime) -> dict[str, Any]:
    """What the customer would see, drawn from the same record and by the same templates as their own page."""
    quote = Quote(
        order=order,
        revision=worked.shown["revision"],
        currency=order.currency,
        total=worked.priced.total,
        back_total=worked.choices.back.total,
        recycle_total=worked.choices.recycle.total,
        no_fix_total=worked.choices.no_fix.total,
        warranty_days=worked.shown["warranty_days"],
        promise=draft.promise,
        valid_until=valid_until(Rates.current(), Letterhead.current(), at),
        shown=worked.shown,
    )
    return {**offer_of(quote), "looked_at": offers.digest_of(worked.shown)}


def offer_of(quote: Quote) -> dict[str, Any]:
    """Keys of shop/stations/offer_shown.html: quote, bill, offered [(label, what it means)]."""
    under = under_choices(quote)
    offered = [(choice["label"], under[choice["choice"]]) for choice in quote.shown["choices"]]
    facts = blocks_of(quote)[0].facts
    return {"quote": quote, "bill": bill_of(quote), "facts": facts, "offered": offered}


def rows_of(
    order: Order, draft: QuoteDraft, worked: Preview | None, *, person: Person, forms: Mapping[str, Form]
) -> list[dict[str, Any]]:
    """The lines of the draft with their forms; a bound one, refused before, stands in its own line."""
    parts = Part.objects.in_bulk([line["part"] for line in draft.lines if line.get("part")])
    priced = worked.priced.lines if worked else ()
    wrong = forms.get("line")
    rows = []
    for number, line in enumerate(draft.lines, start=1):
        done = priced[number - 1] if number <= len(priced) else None
        form = (
            wrong
            if isinstance(wrong, LineForm) and wrong.number == number
            else LineForm(initial=_typed(line, draft), number=number, currency=order.currency)
        )
        rows.append(_row(number, line, done, parts.get(line.get("part") or 0), form, person))
    extra = priced[len(draft.lines) :]
    return [
        *rows,
        *({"number": 0, "text": line.text, "line": line, "why": _why(line, person)} for line in extra),
    ]


def _typed(line: dict[str, Any], draft: QuoteDraft) -> dict[str, Any]:
    return {
        "quantity": line.get("quantity") or "1",
        "price": line.get("price") or "",
        "draft": draft.version,
    }


def _row(
    number: int, line: dict[str, Any], done: Line | None, part: Part | None, form: Form, person: Person
) -> dict[str, Any]:
    return {
        "number": number,
        "form": form,
        "text": done.text if done else line.get("text") or line["kind"],
        "line": done,
        "why": _why(done, person) if done else "",
        "part": part,
        "short": part is not None and done is not None and done.quantity > part.free,
    }


def _why(line: Line, person: Person) -> str:
    """Where the price comes from. What a part cost the shop is the owner's to see."""
    if person.is_owner or not line.why.startswith("Cost "):
        return line.why
    return f"By the shop's rule for parts: {line.unit_price}."


def limit_words(order: Order, worked: Preview) -> str:
    """What the customer's standing limit makes of this total; "" where none was given."""
    limit, total = order.standing_limit, worked.priced.total
    if limit is None:
        return ""
    said = f"The customer agreed to work up to {_money(limit, order)} in all without being asked."
    if decisions.agreed_quote(order) is not None:
        return f"{said} A second fault is always asked."
    if DecisionStop.objects.filter(decision__quote__order=order).exists():
        return f"{said} They stopped it once, so they are asked."
    if total <= limit:
        return f"{said} Sent at this price, the work is agreed at once, and they are told."
    return f"{said} This is above it by {_money(total - limit, order)}, so they are asked."


def _money(amount: Any, order: Order) -> str:
    return wording.money(amount, order.currency, house().locale)


@transaction.atomic
def send_as_seen(
    *,
    order: Order,
    seen_version: int,
    seen_draft: int,
    looked_at: str,
    by: Person,
    at: dt.datetime,
) -> Quote:
    """Send what was looked at, or nothing: a price, a text or the rates may have changed meanwhile.

    A second press finds the quote that was sent and gives it back. Raises Refused, lifecycle errors.
    """
    sent = order.quotes.filter(digest=looked_at).first()
    if sent is not None:
        return sent
    draft = QuoteDraft.objects.filter(order=order).first()
    worked = preview(draft, at=at) if draft is not None else None
    if worked is None or offers.digest_of(worked.shown) != looked_at:
        raise Refused(CHANGED)
    return offers.send(order=order, seen_version=seen_version, seen_draft=seen_draft, by=by, at=at)
