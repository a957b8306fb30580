"""An answer to a quote as it came in, and what makes it one: a choice that was offered, with extras of that choice."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal

from intake.models import CustomerLink, Person
from quotes.choice_sums import key_of
from quotes.models import Decision, Quote
from quotes.refusals import Refused


@dataclass(frozen=True)
class Answer:
    """What was answered and how it came in. `digest` is that of the page the person saw.

    `extras`: keys of the optional extras that were taken. `consent_texts`: what was ticked, as dicts of key, words and
    version. `called_number`, `spoken_at` (UTC) and `conditions` are of an answer that was spoken.
    """

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
    extras: list[str] = field(default_factory=list)
    consent_texts: list[dict[str, str]] = field(default_factory=list)
    called_number: str = ""
    spoken_at: dt.datetime | None = None
    conditions: str = ""


def check(quote: Quote, answer: Answer) -> None:
    """Raises Refused, with the field, for an answer that is none, or lacks what its way in needs."""
    offered = {choice["choice"] for choice in quote.shown["choices"]}
    if answer.choice not in offered:
        raise Refused("Please pick one of the answers.", field="choice")
    if not answer.typed_name.strip():
        raise Refused("Please type your name. It stands for your signature.", field="typed_name")
    if answer.choice == "recycle" and "wipe" not in answer.consents:
        raise Refused("Please tick that we may wipe and recycle it.", field="consents")
    _check_extras(quote, answer)
    if answer.channel == Decision.Channel.PHONE:
        _check_spoken(answer)


def _check_extras(quote: Quote, answer: Answer) -> None:
    having = {row["key"]: row for row in quote.shown.get("extras") or ()}
    for key in answer.extras:
        if key not in having:
            raise Refused("One of the extras is not on this quote.", field="extras")
        if answer.choice not in having[key]["choices"]:
            raise Refused(f"{having[key]['text']} does not go with this answer.", field="extras")


def _check_spoken(answer: Answer) -> None:
    """The fields of California's rule for a consent by phone: 16 CCR 2722 with BPC 9844, seen as an excerpt."""
    if not answer.called_number.strip():
        raise Refused("Write the number that was called, or that called.", field="called_number")
    if answer.spoken_at is None:
        raise Refused("Write the day and the time of the call.", field="spoken_at")
    if not answer.conditions.strip():
        raise Refused("Write what they made a condition, or: none.", field="conditions")


def total_of(quote: Quote, choice: str, extras: Iterable[str] = ()) -> Decimal | None:
    """What a choice with these extras costs in all, to the cent as it was shown. None where it is told elsewhere."""
    row = next((row for row in quote.shown["choices"] if row["choice"] == choice), None)
    if row is None or not row["total"]:
        return None
    key = key_of(extras)
    return Decimal(row["totals"][key]) if key else Decimal(row["total"])
