"""One decision for one quote, on the digest of exactly what was shown."""

import datetime as dt
from decimal import Decimal

from django.db import IntegrityError, transaction

from intake import codes, history, letters, lifecycle, wording
from intake.history import in_turn
from intake.house import house
from intake.lifecycle import CLOCK, CUSTOMER, Actor, staff
from intake.models import Order, Paper
from intake.stations import Outcome, SlipReason, Station
from quotes import billing, deposits, stock
from quotes.agreed import agreed_promise, agreed_quote
from quotes.answering import Answer, check, total_of
from quotes.models import Decision, DecisionStop, Quote, QuoteEnd
from quotes.offered import offered_as
from quotes.refusals import AlreadyDecided, BeingRewritten, Lapsed, Refused, Superseded

__all__ = ["Answer", "agree_by_limit", "agreed_quote", "decide", "open_quote", "stop_before_work"]


def open_quote(order: Order) -> Quote | None:
    """The quote that waits for an answer."""
    return order.quotes.filter(end__isnull=True).order_by("-revision").first()


@in_turn
def decide(*, quote: Quote, answer: Answer, at: dt.datetime) -> Decision:
    """Write the decision and what follows from it, or answer gently that nothing changes.

    1. Refuse an empty name, an unknown choice, a page that shows another quote.
    2. End the quote: its one end row is what two windows, two people and the clock compete for.
    3. Decision row, stock, station, letters, in this same transaction.

    Raises AlreadyDecided, Superseded, BeingRewritten, Lapsed, Refused.
    """
    check(quote, answer)
    order = Order.objects.select_for_update().get(pk=quote.order_id)
    _still_open(quote, order, answer, at)
    try:
        with transaction.atomic():
            QuoteEnd.objects.create(quote=quote, why=QuoteEnd.Why.DECIDED, at=at)
    except IntegrityError:
        quote.refresh_from_db()
        _still_open(quote, order, answer, at)
        raise
    decision = _write(quote, answer, at)
    paper = letters.paper(
        order=order,
        maker="decision_receipt",
        ref=decision.pk,
        title="Receipt of your answer",
        file_name=f"{order.code}-answer-{quote.revision}.pdf",
        at=at,
        letterhead=quote.letterhead,
    )
    follow = {"back": _back, "recycle": _recycle, "first": _first_only}.get(answer.choice, _begin)
    follow(order, decision, paper, at)
    return decision


def _still_open(quote: Quote, order: Order, answer: Answer, at: dt.datetime) -> None:
    end = QuoteEnd.objects.filter(quote_id=quote.pk).first()
    if end is not None and end.why == QuoteEnd.Why.DECIDED:
        raise AlreadyDecided(Decision.objects.get(quote_id=quote.pk))
    if end is not None and end.why == QuoteEnd.Why.LAPSED:
        raise Lapsed(quote)
    if end is not None or answer.digest != quote.digest:
        raise Superseded(open_quote(order))
    if order.station == Station.QUOTE:
        raise BeingRewritten
    if order.station != Station.GO_AHEAD:
        raise Refused("This order is not waiting for an answer any more.")
    if at > quote.valid_until:
        raise Lapsed(quote)


def _write(quote: Quote, answer: Answer, at: dt.datetime) -> Decision:
    decision = Decision.objects.create(
        quote=quote,
        choice=answer.choice,
        channel=answer.channel,
        digest=answer.digest,
        amount=_amount(quote, answer),
        currency=quote.currency,
        typed_name=answer.typed_name.strip()[:120],
        button=answer.button[:120],
        consents=answer.consents,
        consent_texts=answer.consent_texts,
        extras=sorted(set(answer.extras)),
        called_number=answer.called_number.strip()[:40],
        spoken_at=answer.spoken_at,
        conditions=answer.conditions.strip()[:300],
        link=answer.link,
        noted_by=answer.noted_by,
        from_address=answer.from_address[:64],
        agent=answer.agent[:200],
        at=at,
    )
    history.record(
        order=quote.order,
        what="decided",
        by=_who(decision).name,
        at=at,
        facts={
            "revision": quote.revision,
            "choice": answer.choice,
            "channel": answer.channel,
            "digest": answer.digest,
            "amount": str(decision.amount),
            **({"extras": decision.extras} if decision.extras else {}),
            "name": history.sealed(quote.order, decision.typed_name),
        },
    )
    return decision


def _amount(quote: Quote, answer: Answer) -> Decimal:
    """What the answer costs in all; of 'first' what was agreed before."""
    total = total_of(quote, answer.choice, answer.extras)
    if total is not None:
        return total
    before = agreed_quote(quote.order)
    return before.decision.amount if before is not None else quote.total


def _who(decision: Decision) -> Actor:
    if decision.channel == Decision.Channel.LIMIT:
        return CLOCK
    return staff(decision.noted_by) if decision.noted_by is not None else CUSTOMER


def _tell(
    order: Order, decision: Decision, kind: str, papers: list[Paper], at: dt.datetime, **more: object
) -> None:
    chosen = offered_as(decision.quote.shown, decision.choice)
    letters.tell(
        order,
        kind=kind,
        ref=decision.pk,
        at=at,
        papers=papers,
        decision=decision,
        quote=decision.quote,
        shown=decision.quote.shown,
        chosen=chosen,
        taken=chosen.taken(decision.extras) if chosen else [],
        deposit=deposits.wanted(order),
        reference=codes.payment_reference(order.code),
        **more,
    )


def _begin(order: Order, decision: Decision, paper: Paper, at: dt.datetime) -> None:
    """A yes to work of any kind: parts aside, on to 60, held where a part or the deposit is still to come."""
    who = _who(decision)
    stock.release_all(order=order, why="a new revision was agreed", by=who, at=at)
    missing = stock.put_aside(order=order, quote=decision.quote, by=who, at=at)
    promise = agreed_promise(decision)
    Order.objects.filter(pk=order.pk).update(promise=promise, first_promise=order.first_promise or promise)
    lifecycle.advance(
        order,
        to=Station.REPAIR,
        seen_version=order.version,
        by=who,
        at=at,
        note=f"Agreed{_what(decision)}, {wording.money(decision.amount, decision.currency, house().locale)}, {decision.get_channel_display().lower()}.",
        facts={"revision": decision.quote.revision},
    )
    if missing:
        lifecycle.hold(order, reason=SlipReason.PART, by=CLOCK, at=at, note=" ".join(missing))
    deposits.ask(order=order, at=at)
    kind = "agreed_by_limit" if decision.channel == Decision.Channel.LIMIT else "agreed"
    _tell(order, decision, kind, [paper], at)


def _what(decision: Decision) -> str:
    """What was agreed beyond a plain repair, as the sheet says it."""
    words = "" if decision.choice == Decision.Choice.MEND else f": {decision.get_choice_display().lower()}"
    named = {row["key"]: row["text"] for row in decision.quote.shown.get("extras") or ()}
    taken = ", ".join(named.get(key, key) for key in decision.extras)
    return f"{words} with {taken}" if taken else words


def _back(order: Order, decision: Decision, paper: Paper, at: dt.datetime) -> None:
    _to_goods_out(order, decision, paper, at, why="declined", note="Back as it is.", outcome=Outcome.DECLINED)


def _recycle(order: Order, decision: Decision, paper: Paper, at: dt.datetime) -> None:
    note = "To be wiped and recycled, with consent."
    _to_goods_out(order, decision, paper, at, why=billing.RECYCLED, note=note, outcome=Outcome.RECYCLED)


def _to_goods_out(
    order: Order, decision: Decision, paper: Paper, at: dt.datetime, *, why: str, note: str, outcome: Outcome
) -> None:
    """Answered without a repair: what was told before is billed, and the sheet goes straight to 80."""
    quote = decision.quote
    invoice = billing.bill_return(
        order=order, rates=quote.rates, quote=quote, by=decision.noted_by or quote.sent_by, at=at, why=why
    )
    lifecycle.advance(
        order,
        to=Station.GOODS_OUT,
        seen_version=order.version,
        by=_who(decision),
        at=at,
        note=note,
        outcome=outcome,
    )
    kind = "recycle" if outcome is Outcome.RECYCLED else "declined"
    cell_held = order.slips.filter(reason=SlipReason.QUARANTINE, ended_at__isnull=True).exists()
    papers = [paper, *billing.papers_of(invoice)]
    _tell(order, decision, kind, papers, at, invoice=invoice, cell_held=cell_held)


def _first_only(order: Order, decision: Decision, paper: Paper, at: dt.datetime) -> None:
    lifecycle.advance(
        order,
        to=Station.REPAIR,
        seen_version=order.version,
        by=_who(decision),
        at=at,
        note="The second fault stays; the first agreement stands.",
    )
    _tell(order, decision, "first_only", [paper], at)


def agree_by_limit(*, quote: Quote, paper: Paper, at: dt.datetime) -> Decision | None:
    """Agree by rule when the customer's standing limit covers the total payable; told before work starts.

    Only for a first quote: a second fault is always asked.
    """
    limit = quote.order.standing_limit
    if limit is None or quote.total > limit or agreed_quote(quote.order) is not None:
        return None
    if DecisionStop.objects.filter(decision__quote__order=quote.order).exists():
        return None
    customer = quote.order.customer
    return decide(
        quote=quote,
        answer=Answer(
            choice="mend",
            typed_name=customer.name if customer else "standing limit",
            digest=quote.digest,
            button=f"Standing limit of {wording.money(limit, quote.currency, house().locale)} on the request",
            channel="limit",
        ),
        at=at,
    )


@in_turn
def stop_before_work(
    *, order: Order, seen_version: int, begun: bool, at: dt.datetime, by: Actor = CUSTOMER
) -> Order:
    """The customer stops what the standing limit started, until work has `begun`: back to the quote."""
    quote = agreed_quote(order)
    if quote is None or quote.decision.channel != Decision.Channel.LIMIT or order.station != Station.REPAIR:
        raise Refused("There is nothing to stop here.")
    if begun or order.moves.filter(kind="consume").exists():
        raise Refused("Work has begun already. Ask us, and we will see what can be done.")
    DecisionStop.objects.create(decision=quote.decision, at=at, who=by.name)
    stock.release_all(order=order, why="stopped by the customer", by=by, at=at)
    deposits.settle(order=order, at=at, by=by)
    lifecycle.advance(
        order, to=Station.QUOTE, seen_version=seen_version, by=by, at=at, note="Stopped by the customer."
    )
    return order
