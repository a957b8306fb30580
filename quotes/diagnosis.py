"""Readings and findings: what was measured, what is wrong, and whether it can be mended."""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from intake import history, letters, lifecycle
from intake.history import in_turn
from intake.lifecycle import staff
from intake.models import Order, Person
from intake.stations import Outcome, SlipReason, Station
from quotes import billing, offers, stock
from quotes.models import Finding, QuoteEnd, Rates, Reading
from quotes.refusals import Refused


@dataclass(frozen=True)
class Measured:
    """A reading as understood: numbers in base units; special is "OL", "unstable", "beep" or ""."""

    typed: str
    point: str
    mode: str
    value: Decimal | None = None
    special: str = ""
    prefix: str = ""
    unit: str = ""
    polarity: str = ""
    state: str = ""
    meter: str = ""
    board: str = ""
    low: Decimal | None = None
    high: Decimal | None = None
    expected_from: str = ""
    verdict: str = ""
    verdict_why: str = ""
    phase: str = "before"


@dataclass(frozen=True)
class Found:
    """A finding as written by the technician. `words` go on the quote as they stand."""

    fault_class: str
    words: str
    mendable: str
    place: str = ""
    cause: str = ""
    idea_answer: str = "none"
    idea_words: str = ""
    minutes: int | None = None


@in_turn
def take_reading(
    *,
    order: Order,
    measured: Measured,
    key: str,
    by: Person,
    at: dt.datetime,
    instead_of: Reading | None = None,
) -> Reading:
    """Write a reading; `instead_of` supersedes an earlier one, which stays. The same key writes once."""
    known = Reading.objects.filter(key=key).first()
    if known is not None:
        return known
    if order.station < Station.DIAGNOSIS or order.station > Station.GOODS_OUT:
        raise Refused("Readings are taken while the device is here.")
    fields = dict(vars(measured))
    reading = Reading.objects.create(order=order, key=key, at=at, by=by, **fields)
    if instead_of is not None:
        changed = Reading.objects.filter(pk=instead_of.pk, order=order, superseded_by__isnull=True).update(
            superseded_by=reading
        )
        if not changed:
            raise Refused("That reading was replaced already.")
    history.record(
        order=order,
        what="reading",
        by=by.username,
        at=at,
        facts={"point": measured.point, "typed": measured.typed, "mode": measured.mode},
    )
    return reading


@in_turn
def record_finding(
    *, order: Order, seen_version: int, found: Found, key: str, by: Person, at: dt.datetime
) -> Finding:
    """Sign 30: with a remedy the sheet goes to 40, without one straight to 80 with a letter and what is owed.

    Raises Refused while a foreign serial is not cleared up, or for missing words.
    """
    known = Finding.objects.filter(key=key).first()
    if known is not None:
        return known
    _may_be_found(order, found)
    finding = write_finding(order, found, key, by, at)
    mendable = found.mendable == Finding.Mendable.YES
    lifecycle.advance(
        order,
        to=Station.QUOTE if mendable else Station.GOODS_OUT,
        seen_version=seen_version,
        by=staff(by),
        at=at,
        note=finding.words,
        minutes=found.minutes,
        outcome=None if mendable else Outcome.NO_FIX,
        facts={"fault": found.fault_class, "idea": found.idea_answer},
    )
    if not mendable:
        _nothing_to_offer(order, finding, by, at)
    return finding


def _may_be_found(order: Order, found: Found) -> None:
    lifecycle.must_stand_at(order, Station.DIAGNOSIS)
    if order.slips.filter(reason=SlipReason.WRONG_DEVICE, ended_at__isnull=True).exists():
        raise Refused("The serial is not the one on the form. Clear that up with the customer first.")
    if not found.words.strip():
        raise Refused("Say what is wrong, in the customer's words.", field="words")
    if order.idea and found.idea_answer == "none":
        raise Refused("The customer named a cause. Say whether it was right.", field="idea_answer")


def write_finding(order: Order, found: Found, key: str, by: Person, at: dt.datetime) -> Finding:
    """The finding's row alone; the caller moves the sheet."""
    fields = {name: value for name, value in vars(found).items() if name != "minutes"}
    fields |= {"words": found.words.strip(), "idea_words": found.idea_words.strip()}
    return Finding.objects.create(order=order, key=key, at=at, by=by, **fields)


@in_turn
def second_finding(*, order: Order, found: Found, key: str, by: Person, at: dt.datetime) -> Finding:
    """Write down a fault that shows only while the first is mended. The station stays; the quote for it comes next."""
    known = Finding.objects.filter(key=key).first()
    if known is not None:
        return known
    if order.station != Station.REPAIR:
        raise Refused("A second fault is written down at station 60.")
    if not found.words.strip():
        raise Refused("Say what is wrong, in the customer's words.", field="words")
    finding = write_finding(order, found, key, by, at)
    history.record(
        order=order, what="second finding", by=by.username, at=at, facts={"fault": found.fault_class}
    )
    return finding


def _nothing_to_offer(order: Order, finding: Finding, by: Person, at: dt.datetime) -> None:
    # After another look an older quote may still lie open, and parts of a first agreement aside.
    for older in order.quotes.filter(end__isnull=True):
        offers.end_quote(older, why=QuoteEnd.Why.WITHDRAWN, at=at)
    stock.release_all(order=order, why="nothing can be offered", by=staff(by), at=at)
    invoice = billing.bill_return(order=order, rates=Rates.current(), by=by, at=at, why="not mendable")
    letters.tell(
        order,
        kind="nothing_to_offer",
        ref=finding.pk,
        at=at,
        papers=billing.papers_of(invoice),
        photos=list(order.photos.filter(shown=True, role="fault")[:4]),
        finding=finding,
        invoice=invoice,
    )


@in_turn
def look_again(*, order: Order, seen_version: int, by: Person, at: dt.datetime) -> Order:
    """From 40 back to 30: the finding needs another look before a price."""
    lifecycle.must_stand_at(order, Station.QUOTE)
    return lifecycle.advance(order, to=Station.DIAGNOSIS, seen_version=seen_version, by=staff(by), at=at)
