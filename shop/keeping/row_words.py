"""What stands under a kind of row, in the owner's words: for the dry lists, the erasures and the command. Pure."""

import datetime as dt
from collections.abc import Mapping

WORDS: Mapping[str, str] = {
    "Customer": "name and e-mail",
    "Address": "addresses",
    "Device": "serials of devices",
    "Order": "orders: what was written on the request",
    "Arrival": "arrivals: what was in the box",
    "StationLine": "notes at a station",
    "Slip": "reasons for waiting",
    "SlipEnd": "words at the end of a wait",
    "Message": "messages",
    "Letter": "letters",
    "LetterTry": "tries to deliver a letter",
    "Reading": "notes at a reading",
    "Finding": "words of findings",
    "Payment": "words at a payment",
    "QuoteDraft": "drafts of quotes",
    "Quote": "words of quotes",
    "Decision": "answers to quotes: name and place",
    "TradeAccount": "trade accounts",
    "WorkSession": "notes on minutes",
    "StationDraft": "drafts at a station",
    "RepairStep": "notes on repair steps",
    "TestRow": "notes on tests",
    "DataCopy": "copies of data: the lists",
    "ComebackCause": "words on why it came back",
    "OwnDamage": "words on damage of our own",
    "Parcel": "parcels: what was in them",
    "Override": "reasons for an exception",
    "Cost": "words on costs",
    "CodeShowing": "reasons for showing a code",
    "Photo": "photos",
    "Paper": "papers",
    "Sight": "lines of who saw what",
    "Invoice": "bills",
    "Statement": "statements",
    "BankLine": "lines of the bank",
}


def said(name: str) -> str:
    """The words of a kind of row, by its name; what has none here is called by its name."""
    return WORDS.get(name, name)


def named(counts: Mapping[str, int]) -> list[tuple[str, int]]:
    """How many of each kind, in the owner's words and the order given."""
    return [(said(name), count) for name, count in counts.items()]


def last_day(until: str) -> dt.date | None:
    """Until when something stays, from the words an erasure keeps: an ISO date, or "for good", which is None."""
    return None if until == "for good" else dt.date.fromisoformat(until)
