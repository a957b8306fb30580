"""Quotes: sent once, replaced, lapsed. A sent quote never changes."""

import datetime as dt
import hashlib
import secrets
from decimal import Decimal
from typing import Any

from django.db import IntegrityError, transaction

from intake import history, letters, lifecycle, wording
from intake.history import in_turn
from intake.house import house
from intake.lifecycle import CLOCK, staff
from intake.models import Letterhead, Order, Person
from intake.stations import Station
from quotes import decisions
from quotes.drafts import Preview, draft_of, preview, valid_until
from quotes.freezing import freeze_choices
from quotes.models import Finding, Quote, QuoteDraft, QuoteEnd, Rates
from quotes.offered import changes_of, deposit_of, offered
from quotes.refusals import Refused


@in_turn
def send(*, order: Order, seen_version: int, seen_draft: int, by: Person, at: dt.datetime) -> Quote:
    """Freeze the draft as the next revision, sign 40, tell the customer; agree at once where the limit covers it.

    The draft's version and form key make it once. Raises Refused for an old draft, lifecycle errors for an old sheet.
    """
    draft = draft_of(order, at=at)
    known = Quote.objects.filter(form_key=draft.form_key).first()
    if known is not None:
        return known
    if draft.version != seen_draft:
        raise Refused("The quote was changed in another window. Please look at it once more.")
    worked = preview(draft, at=at)
    if worked.missing:
        raise Refused(worked.missing[0], field="lines")
    quote = _freeze(order, draft, worked, by, at)
    for older in order.quotes.exclude(pk=quote.pk).filter(end__isnull=True):
        end_quote(older, why=QuoteEnd.Why.SUPERSEDED, at=at)
    lifecycle.advance(
        order,
        to=Station.GO_AHEAD,
        seen_version=seen_version,
        by=staff(by),
        at=at,
        note=f"Revision {quote.revision} sent, {wording.money(quote.total, quote.currency, house().locale)}.",
        facts={"revision": quote.revision, "total": str(quote.total), "digest": quote.digest},
    )
    QuoteDraft.objects.filter(pk=draft.pk).update(form_key=secrets.token_hex(16))
    _tell_of(quote, at)
    return quote


def _tell_of(quote: Quote, at: dt.datetime) -> None:
    order = quote.order
    paper = letters.paper(
        order=order,
        maker="quote",
        ref=quote.pk,
        title=f"Quote, revision {quote.revision}",
        file_name=f"{order.code}-quote-{quote.revision}.pdf",
        at=at,
        letterhead=quote.letterhead,
    )
    if decisions.agree_by_limit(quote=quote, paper=paper, at=at) is None:
        letters.tell(
            order,
            kind="quote",
            ref=quote.pk,
            at=at,
            papers=[paper],
            quote=quote,
            shown=quote.shown,
            ways=offered(quote.shown),
            changes=changes_of(quote.shown),
            deposit=deposit_of(quote.shown),
            finding=quote.finding,
            link_words="Read it and answer",
        )


def _freeze(order: Order, draft: QuoteDraft, worked: Preview, by: Person, at: dt.datetime) -> Quote:
    rates, head = Rates.current(), Letterhead.current()
    quote = Quote.objects.create(
        order=order,
        revision=worked.shown["revision"],
        form_key=draft.form_key,
        finding=Finding.objects.get(pk=worked.shown["finding"]["id"]),
        letterhead=head,
        rates=rates,
        currency=order.currency,
        net=worked.priced.net,
        tax=worked.priced.tax,
        total=worked.priced.total,
        back_total=worked.choices.back.total,
        recycle_total=worked.choices.recycle.total,
        no_fix_total=worked.choices.no_fix.total,
        deposit=draft.deposit or Decimal(0),
        shop_cost=worked.priced.shop_cost,
        warranty_days=worked.shown["warranty_days"],
        promise=draft.promise,
        valid_until=valid_until(rates, head, at),
        sent_at=at,
        sent_by=by,
        shown=worked.shown,
        digest=digest_of(worked.shown),
    )
    freeze_choices(quote, worked)
    return quote


def digest_of(shown: dict[str, Any]) -> str:
    """SHA-256 of exactly what is shown, as canonical JSON."""
    return hashlib.sha256(history.canonical(shown).encode()).hexdigest()


def end_quote(quote: Quote, *, why: str, at: dt.datetime) -> bool:
    """End a quote; of all who try at once, one succeeds. Says whether it was this call."""
    try:
        with transaction.atomic():
            QuoteEnd.objects.create(quote=quote, why=why, at=at)
    except IntegrityError:
        return False
    return True


@in_turn
def reopen(*, order: Order, seen_version: int, by: Person, at: dt.datetime) -> Order:
    """From 50 back to 40, to write a new revision. The old quote stays as it was until the new one is sent."""
    lifecycle.must_stand_at(order, Station.GO_AHEAD)
    return lifecycle.advance(order, to=Station.QUOTE, seen_version=seen_version, by=staff(by), at=at)


@in_turn
def second_fault(*, order: Order, seen_version: int, found: Finding, by: Person, at: dt.datetime) -> Order:
    """60 waits while a second fault is quoted; the first agreement stands until the new one is decided."""
    lifecycle.must_stand_at(order, Station.REPAIR)
    return lifecycle.advance(
        order,
        to=Station.QUOTE,
        seen_version=seen_version,
        by=staff(by),
        at=at,
        note="A second fault was found; the first agreement stands.",
        facts={"finding": found.pk},
    )


@in_turn
def lapse(*, quote: Quote, at: dt.datetime) -> bool:
    """The clock ends a quote nobody answered. The device waits; the customer is told once."""
    if at <= quote.valid_until or not end_quote(quote, why=QuoteEnd.Why.LAPSED, at=at):
        return False
    order = quote.order
    history.record(order=order, what="quote lapsed", by=CLOCK.name, at=at, facts={"revision": quote.revision})
    letters.tell(
        order,
        kind="quote_lapsed",
        ref=quote.pk,
        at=at,
        quote=quote,
    )
    return True


@in_turn
def remind(*, quote: Quote, number: int, at: dt.datetime) -> bool:
    """The number-th reminder of an open quote; the key makes each once. Says whether it still waits for an answer."""
    waits = Quote.objects.filter(pk=quote.pk, end__isnull=True, order__station=Station.GO_AHEAD)
    if not waits.exists():
        return False
    letters.tell(
        quote.order,
        kind="quote_reminder",
        ref=f"{quote.pk}:{number}",
        at=at,
        quote=quote,
        ways=offered(quote.shown),
        number=number,
        link_words="Read it and answer",
    )
    return True
