"""One decision for one quote, on the digest of exactly what was shown."""

import datetime as dt
from dataclasses import dataclass, field

from django.db import IntegrityError, transaction

from intake import history, letters, lifecycle, wording
from intake.history import in_turn
from intake.house import house
from intake.lifecycle import CLOCK, CUSTOMER, Actor, staff
from intake.models import CustomerLink, Order, Paper, Person
from intake.stations import Outcome, SlipReason, Station
from quotes import billing, stock
from quotes.models import Decision, DecisionStop, Quote, QuoteEnd
from quotes.refusals import AlreadyDecided, BeingRewritten, Lapsed, Refused, Superseded


@dataclass(frozen=True)
class Answer:
    """What was answered and how it came in. `digest` is that of the page the person saw."""

    choice: str
    typed_name: str
    digest: str
    button: str
    channel: str = "link"
    consents: list[str] = field(default_factory=list)
    link: CustomerLink | None = None
    noted_by: Person | None = None
    from_address: str = ""
    agent: str = ""


def agreed_quote(order: Order) -> Quote | None:
    """The newest quote answered with a yes: what may be repaired and billed."""
    agreed = order.quotes.filter(decision__choice=Decision.Choice.MEND, decision__stop__isnull=True)
    return agreed.order_by("-revision").first()


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
    _check(quote, answer)
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
    follow = {"mend": _mend, "back": _back, "recycle": _recycle, "first": _first_only}[answer.choice]
    follow(order, decision, paper, at)
    return decision


def _check(quote: Quote, answer: Answer) -> None:
    offered = {choice["choice"] for choice in quote.shown["choices"]}
    if answer.choice not in offered:
        raise Refused("Please pick one of the answers.", field="choice")
    if not answer.typed_name.strip():
        raise Refused("Please type your name. It stands for your signature.", field="typed_name")
    if answer.choice == "recycle" and "wipe" not in answer.consents:
        raise Refused("Please tick that we may wipe and recycle it.", field="consents")


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
    amounts = {"mend": quote.total, "back": quote.back_total, "recycle": quote.recycle_total}
    before = agreed_quote(quote.order)
    decision = Decision.objects.create(
        quote=quote,
        choice=answer.choice,
        channel=answer.channel,
        digest=answer.digest,
        amount=amounts.get(answer.choice, before.total if before else quote.total),
        currency=quote.currency,
        typed_name=answer.typed_name.strip()[:120],
        button=answer.button[:120],
        consents=answer.consents,
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
            "name": history.sealed(quote.order, decision.typed_name),
        },
    )
    return decision


def _who(decision: Decision) -> Actor:
    if decision.channel == Decision.Channel.LIMIT:
        return CLOCK
    return staff(decision.noted_by) if decision.noted_by is not None else CUSTOMER


def _tell(
    order: Order, decision: Decision, kind: str, papers: list[Paper], at: dt.datetime, **more: object
) -> None:
    letters.tell(
        order,
        kind=kind,
        ref=decision.pk,
        at=at,
        papers=papers,
        decision=decision,
        quote=decision.quote,
        shown=decision.quote.shown,
        **more,
    )


def _mend(order: Order, decision: Decision, paper: Paper, at: dt.datetime) -> None:
    who = _who(decision)
    stock.release_all(order=order, why="a new revision was agreed", by=who, at=at)
    missing = stock.put_aside(order=order, quote=decision.quote, by=who, at=at)
    promise = decision.quote.promise
    Order.objects.filter(pk=order.pk).update(promise=promise, first_promise=order.first_promise or promise)
    lifecycle.advance(
        order,
        to=Station.REPAIR,
        seen_version=order.version,
        by=who,
        at=at,
        note=f"Agreed, {wording.money(decision.amount, decision.currency, house().locale)}, {decision.get_channel_display().lower()}.",
        facts={"revision": decision.quote.revision},
    )
    if missing:
        lifecycle.hold(order, reason=SlipReason.PART, by=CLOCK, at=at, note=" ".join(missing))
    kind = "agreed_by_limit" if decision.channel == Decision.Channel.LIMIT else "agreed"
    _tell(order, decision, kind, [paper], at)


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
    _tell(order, decision, kind, [paper, *billing.papers_of(invoice)], at, invoice=invoice)


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
    lifecycle.advance(
        order, to=Station.QUOTE, seen_version=seen_version, by=by, at=at, note="Stopped by the customer."
    )
    return order
