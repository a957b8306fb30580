"""The chain of what happened: append, seal personal data, verify."""

import datetime as dt
import hashlib
import json
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import wraps
from typing import ParamSpec, TypeVar

from django.db import connection, transaction

from intake.models import HistoryEntry, HistoryHead, Order

GENESIS = "0" * 64
CUT_OFF = "The end of the history has been cut off."
Given, Result = ParamSpec("Given"), TypeVar("Result")

Follower = Callable[[set[int]], None]
_followers: list[Follower] = []
_touched: ContextVar[set[int] | None] = ContextVar("orders touched in this turn", default=None)


def follow(follower: Follower) -> None:
    """Register what a floor above does at the end of each change of orders: it gets their pks, once a turn, inside the
    transaction of the change."""
    if follower not in _followers:
        _followers.append(follower)


@contextmanager
def _turn() -> Iterator[None]:
    """The outermost action of a turn tells the followers; the ones it calls add to what it touched."""
    if _touched.get() is not None:
        yield
        return
    orders: set[int] = set()
    token = _touched.set(orders)
    try:
        yield
        _tell(orders)
    finally:
        _touched.reset(token)


def _tell(orders: set[int]) -> None:
    if orders:
        for follower in _followers:
            follower(orders)


def in_turn(action: Callable[Given, Result]) -> Callable[Given, Result]:
    """An action in one transaction that waits for its turn first, as SQLite's writers do by themselves.

    The one lock is the head of the history, which every change needs in the end. Taken first by all, it keeps two who
    press at once from blocking each other for good, and lets the second read what the first has just written.
    """

    @wraps(action)
    def acting(*args: Given.args, **kwargs: Given.kwargs) -> Result:
        with transaction.atomic():
            if connection.features.has_select_for_update:
                HistoryHead.objects.select_for_update().get_or_create(pk=1)
            with _turn():
                return action(*args, **kwargs)

    return acting


def canonical(value: object) -> str:
    """JSON with sorted keys and no spaces, so that equal facts have equal text."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, default=str)


def link_digest(
    *, seq: int, order_code: str, at: dt.datetime, who: str, what: str, facts: object, previous: str
) -> str:
    """SHA-256 over the previous digest and the canonical facts of one entry."""
    body = canonical(
        {
            "at": at.astimezone(dt.UTC).isoformat(),
            "facts": facts,
            "order": order_code,
            "seq": seq,
            "what": what,
            "who": who,
        }
    )
    return hashlib.sha256((previous + body).encode()).hexdigest()


def sealed(order: Order, text: str) -> str:
    """Salted digest of something personal: proves it later, says nothing by itself."""
    return hashlib.sha256(f"{order.salt}:{text}".encode()).hexdigest()


def record(
    *, order: Order | None, what: str, by: str, at: dt.datetime, facts: dict[str, object]
) -> HistoryEntry:
    """Append one entry inside the caller's transaction.

    The head row is locked first, so that appends queue up instead of forking the chain.
    """
    if not connection.in_atomic_block:
        raise RuntimeError("History is written in the transaction of the change it tells of.")
    head, _ = HistoryHead.objects.select_for_update().get_or_create(pk=1)
    plain = json.loads(canonical(facts))
    seq, previous = head.seq + 1, head.digest or GENESIS
    digest = link_digest(
        seq=seq,
        order_code=order.code if order else "",
        at=at,
        who=by,
        what=what,
        facts=plain,
        previous=previous,
    )
    entry = HistoryEntry.objects.create(
        seq=seq, order=order, at=at, who=by, what=what, facts=plain, previous=previous, digest=digest
    )
    HistoryHead.objects.filter(pk=1).update(seq=seq, digest=digest)
    if order is not None:
        touch(order.pk)
    return entry


def touch(order: int) -> None:
    """Tell the followers of a change of an order that is no entry of the history, such as minutes counted anew."""
    touched = _touched.get()
    if touched is None:
        _tell({order})
    else:
        touched.add(order)


def verify(entries: Iterable[HistoryEntry] | None = None) -> str | None:
    """Walk the chain; returns None when it holds, else one sentence naming the first break.

    Entries may be added meanwhile: it goes on until it has met the head that stands then.
    """
    if entries is not None:
        return _walk(entries, GENESIS, 1)[2]
    previous, expected, since = GENESIS, 1, 0
    while True:
        rows = HistoryEntry.objects.select_related("order").filter(seq__gte=since)
        previous, upto, broken = _walk(rows.iterator(2000), previous, expected)
        if broken:
            return broken
        head = HistoryHead.objects.filter(pk=1).values_list("seq", "digest").first() or (0, "")
        if head[0] < upto:
            return _end(head, upto - 1, previous)
        if since == upto:
            return CUT_OFF
        since = expected = upto


def _walk(entries: Iterable[HistoryEntry], previous: str, expected: int) -> tuple[str, int, str | None]:
    """The digest and number to go on with, and the first break."""
    for entry in entries:
        if entry.seq != expected:
            return previous, expected, f"Entry {expected} is missing from the history."
        digest = link_digest(
            seq=entry.seq,
            order_code=entry.order.code if entry.order else "",
            at=entry.at,
            who=entry.who,
            what=entry.what,
            facts=entry.facts,
            previous=previous,
        )
        if entry.previous != previous or entry.digest != digest:
            return previous, expected, f"Entry {entry.seq} ({entry.what}) is not what was written."
        previous, expected = entry.digest, expected + 1
    return previous, expected, None


def _end(head: tuple[int, str], last: int, digest: str) -> str | None:
    if head[0] < last:
        return f"Entry {head[0] + 1} was added behind the back of the history."
    return None if (head[1] or GENESIS) == digest else CUT_OFF
