"""The journal's one door: every event in money is one entry, its postings sum to nought, and nothing is ever changed."""

import datetime as dt
from collections.abc import Sequence

from intake import wording
from intake.history import in_turn
from intake.models import Order, Person
from intake.money import quantize
from quotes import numbers
from quotes.closing import close
from quotes.journal import balance_of, balances, closed_upto, digest_of, journal, shop_day
from quotes.ledger_maths import Leg, out_of_balance
from quotes.models import Account, Entry, Posting
from quotes.refusals import Refused

__all__ = ["balance_of", "balances", "close", "closed_upto", "digest_of", "journal", "post", "shop_day"]

SERIES = "entry"


@in_turn
def post(
    *,
    key: str,
    what: str,
    text: str,
    postings: Sequence[Leg],
    at: dt.datetime,
    by: Person | str,
    order: Order | None = None,
    document: str = "",
    currency: str,
) -> Entry:
    """Write one entry with its postings; the same key again returns the entry that is there.

    Raises Refused on a closed day, ValueError for legs that do not sum to nought, are nought, or have more digits than
    the currency: those are faults of the caller, and nothing is booked.
    """
    known = Entry.objects.filter(key=key).first()
    if known is not None:
        return known
    _check(postings, currency)
    day = shop_day(at)
    _refuse_closed(day)
    entry = Entry.objects.create(
        number=numbers.take(SERIES),
        key=key,
        day=day,
        at=at,
        what=what,
        text=text[:200],
        document=document,
        order=order,
        currency=currency,
        by=by if isinstance(by, str) else by.username,
    )
    Posting.objects.bulk_create(
        Posting(entry=entry, account=leg.account, kind=leg.kind, amount=leg.amount) for leg in postings
    )
    return entry


def _check(postings: Sequence[Leg], currency: str) -> None:
    if len(postings) < 2 or out_of_balance(postings):
        raise ValueError(f"An entry has two sides that are equal, not {postings!r}.")
    for leg in postings:
        if leg.account not in Account.values or not leg.amount:
            raise ValueError(f"That cannot be posted: {leg!r}.")
        if quantize(leg.amount, currency) != leg.amount:
            raise ValueError(f"{leg.amount} has more digits than {currency}.")


def _refuse_closed(day: dt.date) -> None:
    upto = closed_upto()
    if upto is not None and day <= upto:
        raise Refused(
            f"The books are closed up to {wording.day_year(upto)}. Nothing can be booked on {wording.day_year(day)}."
        )
