"""A device that came back: why, who pays, and the free quote of what is ours to put right."""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q
from django.utils import timezone

from intake import history, letters
from intake.history import in_turn
from intake.house import house
from intake.models import Order, Person
from intake.refusals import Refused
from intake.stations import Station
from quotes import drafts
from quotes.models import Lot, Move, QuoteDraft
from shop.branches.cover_rule import Cover, cover_of
from shop.models import ComebackCause, Warranty

FREE_WORK, FREE_POST = "Put right, under warranty", "Post both ways, on us"


@dataclass(frozen=True)
class Said:
    """The cause as the bench says it. `lot` is the number of the bad lot, "" for any other cause."""

    cause: str
    words: str
    lot: str = ""


def cause_of(order: Order) -> ComebackCause | None:
    """The newest look at why it came back."""
    return order.comeback_causes.select_related("lot", "by").last()


def covered(order: Order) -> bool:
    """Whether the shop pays for this comeback, as it stands now."""
    row = cause_of(order)
    return row is not None and row.covered


def rule_of(order: Order, cause: str) -> Cover:
    """What the rule says of a cause on this sheet, by the longest warranty of the sheets before it."""
    ends = Warranty.objects.filter(order__in=sheets_before(order)).order_by("-ends").first()
    return cover_of(
        cause,
        came=timezone.localdate(order.created_at),
        warranty_ends=ends.ends if ends is not None else None,
        locale=house().locale,
    )


def sheets_before(order: Order) -> list[Order]:
    """The sheets this one is pinned to, the nearest first."""
    found: list[Order] = []
    before = order.comeback_of
    while before is not None and before not in found:
        found.append(before)
        before = before.comeback_of
    return found


def lots_before(order: Order) -> list[Lot]:
    """Lots of the parts that were fitted on the sheets before."""
    moves = Move.objects.filter(order__in=sheets_before(order), kind=Move.Kind.CONSUME)
    # A move from before lots were kept names none: any lot of its part may be meant.
    fitted = Q(pk__in=moves.exclude(lot=None).values("lot")) | Q(
        part__in=moves.filter(lot=None).values("part")
    )
    return list(Lot.objects.filter(fitted).select_related("part").order_by("number"))


@in_turn
def say_cause(*, order: Order, said: Said, key: str, by: Person, at: dt.datetime) -> ComebackCause:
    """Write why it came back, at 30; the rule decides who pays, or the owner has. The same key writes once. Raises Refused."""
    known = ComebackCause.objects.filter(key=key).first()
    if known is not None:
        return known
    _may_be_said(order, said)
    lot = _lot(order, said)
    return _write(
        order,
        cause=said.cause,
        words=said.words,
        lot=lot,
        is_covered=_who_pays(order, said.cause),
        key=key,
        by=by,
        at=at,
    )


def _who_pays(order: Order, cause: str) -> bool:
    """By the rule; but what the owner decided against it stands while the cause is the same."""
    rule, before = rule_of(order, cause).covered, cause_of(order)
    return before.covered if before is not None and before.cause == cause else rule


def _may_be_said(order: Order, said: Said) -> None:
    if order.comeback_of_id is None:
        raise Refused("This sheet is pinned to no other: it is no comeback.")
    if order.station != Station.DIAGNOSIS:
        raise Refused("Why it came back is said at 30, before the finding is signed.")
    if said.cause not in ComebackCause.Cause.values:
        raise Refused("Say why it came back.", field="cause")
    if not said.words.strip():
        raise Refused("Say in plain words why it came back. The customer reads it.", field="words")


def _lot(order: Order, said: Said) -> Lot | None:
    if said.cause != ComebackCause.Cause.LOT:
        return None
    lot = Lot.objects.filter(number__iexact=said.lot.strip()).first()
    if lot is None:
        raise Refused("Name the lot by its number, as it stands on its label.", field="lot")
    if lot not in lots_before(order):
        raise Refused(f"No part of lot {lot.number} was fitted on the sheet before.", field="lot")
    return lot


@in_turn
def overrule(
    *, order: Order, is_covered: bool, why: str, key: str, by: Person, at: dt.datetime
) -> ComebackCause:
    """The owner decides against the rule who pays, with a reason; a new row, the old one stays. Raises Refused."""
    known = ComebackCause.objects.filter(key=key).first()
    if known is not None:
        return known
    if not by.is_owner:
        raise Refused("Only the owner decides against the rule who pays.")
    before = cause_of(order)
    if before is None:
        raise Refused("Say first why it came back.")
    if order.station != Station.DIAGNOSIS:
        raise Refused("Who pays is decided at 30, before the customer is told.")
    if not why.strip():
        raise Refused("Say why. The customer reads it.", field="why")
    return _write(
        order,
        cause=before.cause,
        words=why,
        lot=before.lot,
        is_covered=is_covered,
        key=key,
        by=by,
        at=at,
        overruled=True,
    )


def _write(
    order: Order,
    *,
    cause: str,
    words: str,
    lot: Lot | None,
    is_covered: bool,
    key: str,
    by: Person,
    at: dt.datetime,
    overruled: bool = False,
) -> ComebackCause:
    row = ComebackCause.objects.create(
        order=order,
        key=key,
        cause=cause,
        words=words.strip()[:400],
        lot=lot,
        covered=is_covered,
        at=at,
        by=by,
    )
    facts: dict[str, object] = {"cause": cause, "covered": is_covered, "overruled": overruled}
    if lot is not None:
        facts["lot"] = lot.number
    history.record(order=order, what="comeback cause", by=by.username, at=at, facts=facts)
    assert order.comeback_of is not None
    told: dict[str, object] = {"new sheet": order.code, "cause": cause, "covered": is_covered}
    history.record(order=order.comeback_of, what="comeback looked at", by=by.username, at=at, facts=told)
    return row


def must_be_said(order: Order) -> None:
    """No finding of a comeback before its cause. Raises Refused."""
    if order.comeback_of_id is not None and cause_of(order) is None:
        raise Refused("Say first why it came back. Then the finding can be signed.")


@in_turn
def tell_and_offer(*, order: Order, at: dt.datetime) -> None:
    """After the finding of a comeback: the customer hears who pays, and what is ours is offered at nought."""
    row = cause_of(order)
    if order.comeback_of_id is None or row is None:
        return
    letters.tell(
        order,
        kind="comeback_covered" if row.covered else "comeback_not_covered",
        ref=row.pk,
        at=at,
        cause=row,
        before=order.comeback_of,
        rule=rule_of(order, row.cause),
    )
    if order.station == Station.QUOTE:
        (offer_free if row.covered else _offer_priced)(order=order, at=at)


def _offer_priced(*, order: Order, at: dt.datetime) -> None:
    """After a look that found it not covered, what an earlier look put at nought is offered at its price again."""
    causes = order.comeback_causes.values_list("covered", flat=True)
    draft = QuoteDraft.objects.filter(order=order).first()
    if draft is None or True not in causes:
        return
    lines = [line for line in draft.lines if line.get("text") != FREE_WORK]
    for line in lines:
        if line.get("price") == "0":
            line["price"] = None
        if line.get("text") == FREE_POST:
            line["text"] = "Return post"
    drafts.save_draft(draft=draft, lines=lines, words=draft.words, promise=draft.promise, at=at)


@in_turn
def offer_free(*, order: Order, at: dt.datetime) -> QuoteDraft:
    """The draft of a covered comeback with every price at nought; an empty one gets the work and both ways of post."""
    if not covered(order):
        raise Refused("This comeback is not covered, so its prices stay.")
    if not Order.objects.filter(pk=order.pk, station=Station.QUOTE).exists():
        raise Refused("This order is not at the quote any more.")
    draft = drafts.draft_of(order, at=at)
    lines = [{**line, "price": "0"} for line in draft.lines]
    if not any(line["kind"] == "labour" for line in lines):
        work = {"kind": "labour", "text": FREE_WORK, "quantity": "1", "price": "0"}
        lines = [work, *lines]
    for line in lines:
        if line["kind"] == "post":
            line["text"] = FREE_POST
    return drafts.save_draft(draft=draft, lines=lines, words=draft.words, promise=draft.promise, at=at)


def must_be_free(order: Order, total: Decimal) -> None:
    """What was told to cost nothing is not quoted at a price. Raises Refused."""
    if order.comeback_of_id is not None and total and covered(order):
        raise Refused("This comeback is covered: it costs the customer nothing. Put every price at nought.")
