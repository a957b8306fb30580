"""The draft of a quote as the bench sees it: lines with their prices, what would be shown, what it costs the shop."""

import datetime as dt
from decimal import Decimal
from typing import Any

from django.db import transaction

from intake import wording
from intake.house import house
from intake.models import Letterhead, Order, Person
from quotes import decisions, offers
from quotes.drafts import Preview, preview, valid_until
from quotes.models import DecisionStop, Quote, QuoteDraft, Rates
from quotes.offered import WORK
from quotes.refusals import Refused
from quotes.revisions import former
from shop.branches import comeback
from shop.window.bill import blocks_of, changes_table, under_choices

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
    """Keys of shop/stations/offer_shown.html: quote, blocks of work, offered [(label, words)], extras, changes."""
    under = under_choices(quote)
    offered = [
        (choice["label"], under[choice["choice"]])
        for choice in quote.shown["choices"]
        if choice["choice"] not in WORK
    ]
    return {
        "quote": quote,
        "blocks": [block for block in blocks_of(quote) if block.offered.is_work],
        "offered": offered,
        "changes": changes_table(quote),
    }


def moved_words(order: Order, draft: QuoteDraft, worked: Preview) -> str:
    """What today's prices make of lines that were quoted before; "" for a first quote, and where nothing moved."""
    before = former(order)
    if before is None or before.total == worked.priced.total:
        return ""
    then, now = _money(before.total, order), _money(worked.priced.total, order)
    if draft.changed_at <= before.sent_at:
        return f"The prices have moved: revision {before.revision} came to {then}, the same lines come to {now} today."
    return f"Revision {before.revision} came to {then}. This one comes to {now}."


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


def _most(worked: Preview) -> Decimal:
    """The dearest way that would be offered, extras apart."""
    totals = [total for sums in worked.sums.values() for total in (sums.priced.total, sums.ends.no_fix.total)]
    return max([worked.choices.back.total, worked.choices.recycle.total, *totals])


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
    comeback.must_be_free(order, _most(worked))
    return offers.send(order=order, seen_version=seen_version, seen_draft=seen_draft, by=by, at=at)
