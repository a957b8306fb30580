"""Readings and findings: what was measured, what is wrong, and whether it can be mended."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from intake import history, letters, lifecycle
from intake.history import in_turn
from intake.lifecycle import staff
from intake.models import Order, Person
from intake.stations import Outcome, SlipReason, Station
from quotes import billing, offers, stock, word_lists
from quotes.explained import not_explained
from quotes.models import Finding, QuoteEnd, Rates, Reading
from quotes.refusals import Refused


@dataclass(frozen=True)
class Measured:
    """A reading as understood: numbers in base units; special is "OL", "unstable", "beep" or "".

    Limits are inclusive; `expected_special` is what a good board shows where it shows no number. `expected_n` counts the
    own good boards behind them, None where they come from elsewhere. `proposed` is the rule's verdict; a `verdict` that
    differs needs `verdict_why`. `side` is "top", "bottom" or "".
    """

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
    revision: str = ""
    side: str = ""
    supply_volts: Decimal | None = None
    supply_amps: Decimal | None = None
    expected_special: str = ""
    expected_n: int | None = None
    proposed: str = ""


@dataclass(frozen=True)
class Found:
    """A finding as written by the technician. `words` go on the quote as they stand.

    `explains` and `not_explained` are the customer's symptoms as given, each in one of the two; both empty where nobody
    was asked. `suggested` is the kind of fault that orders seen before pointed to while it was written.
    """

    fault_class: str
    words: str
    mendable: str
    place: str = ""
    cause: str = ""
    idea_answer: str = "none"
    idea_words: str = ""
    minutes: int | None = None
    part: str = ""
    explains: tuple[str, ...] = ()
    not_explained: tuple[str, ...] = ()
    suggested: str = ""


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
    if measured.proposed not in ("", measured.verdict) and not measured.verdict_why:
        raise Refused("Say why the rule is overruled.", field="verdict_why")
    fields = dict(vars(measured))
    reading = Reading.objects.create(order=order, key=key, at=at, by=by, **fields)
    if instead_of is not None:
        changed = Reading.objects.filter(pk=instead_of.pk, order=order, superseded_by__isnull=True).update(
            superseded_by=reading
        )
        if not changed:
            raise Refused("That reading was replaced already.")
    word_lists.learn_reading(
        board=measured.board, revision=measured.revision, point=measured.point, by=by, at=at
    )
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
    *,
    order: Order,
    seen_version: int,
    found: Found,
    key: str,
    by: Person,
    at: dt.datetime,
    post_is_ours: bool = False,
) -> Finding:
    """Sign 30: with a remedy the sheet goes to 40, without one straight to 80 with a letter and what is owed.

    `post_is_ours`: the shop sends it back at its own cost, so that nothing is owed.
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
        _nothing_to_offer(order, finding, by, at, free=post_is_ours)
    return finding


def _may_be_found(order: Order, found: Found) -> None:
    lifecycle.must_stand_at(order, Station.DIAGNOSIS)
    if order.slips.filter(reason=SlipReason.WRONG_DEVICE, ended_at__isnull=True).exists():
        raise Refused("The serial is not the one on the form. Clear that up with the customer first.")
    if not found.words.strip():
        raise Refused("Say what is wrong, in the customer's words.", field="words")
    if order.idea and found.idea_answer == "none":
        raise Refused("The customer named a cause. Say whether it was right.", field="idea_answer")
    _symptoms_said(found, order.symptoms)


def _symptoms_said(found: Found, asked: Iterable[str]) -> None:
    explains, left = set(found.explains), set(found.not_explained)
    if not explains and not left:
        return
    if explains & left or explains | left != set(asked):
        raise Refused("Say of each symptom whether the finding explains it.")


def write_finding(order: Order, found: Found, key: str, by: Person, at: dt.datetime) -> Finding:
    """The finding's row alone; the caller moves the sheet."""
    fields = {name: value for name, value in vars(found).items() if name != "minutes"}
    fields |= {"words": found.words.strip(), "idea_words": found.idea_words.strip()}
    fields |= {"explains": list(found.explains), "not_explained": list(found.not_explained)}
    word_lists.learn_finding(order=order, fault_class=found.fault_class, by=by, at=at)
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
    _symptoms_said(found, not_explained(order))
    finding = write_finding(order, found, key, by, at)
    history.record(
        order=order, what="second finding", by=by.username, at=at, facts={"fault": found.fault_class}
    )
    return finding


def _nothing_to_offer(
    order: Order, finding: Finding, by: Person, at: dt.datetime, *, free: bool = False
) -> None:
    # After another look an older quote may still lie open, and parts of a first agreement aside.
    for older in order.quotes.filter(end__isnull=True):
        offers.end_quote(older, why=QuoteEnd.Why.WITHDRAWN, at=at)
    stock.release_all(order=order, why="nothing can be offered", by=staff(by), at=at)
    rates = Rates.current()
    invoice = (
        None if free else billing.bill_return(order=order, rates=rates, by=by, at=at, why="not mendable")
    )
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
