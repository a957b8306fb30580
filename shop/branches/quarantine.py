"""A battery in quarantine: how that ended, and what becomes of the device. It never goes back by ordinary post.

The shop follows local rules and hands damaged cells only to a point licensed to take them; how the bench handles them is
common practice, no source. Damaged cells in transport: 49 CFR 173.185(f), as in `intake.cells`.
"""

import datetime as dt
from dataclasses import dataclass

from intake import history, letters, lifecycle
from intake.history import in_turn
from intake.lifecycle import staff
from intake.models import Order, Person
from intake.refusals import Refused
from intake.stations import Outcome, SlipReason, Station
from quotes import billing
from quotes.models import Rates
from shop.bench import work
from shop.branches import comeback
from shop.branches.letting_go import let_everything_go
from shop.branches.wrong_device import open_slip
from shop.models import SlipEnd, WipeRecord
from shop.vault import unlocking

SOUND, SAFE, BATTERY, DEVICE = "sound", "safe", "battery", "device"
ON, BACK = "on", "back"
WITHOUT = "Its battery was damaged: it is out, and stays here."
NOT_WIPED = "Not wiped here: the whole device was handed to a licensed collector, with consent."


@dataclass(frozen=True)
class Dealt:
    """`how` it ended: 'sound' (looked at, nothing wrong; only of a battery nobody had seen), 'safe' (out and in its
    container), 'battery' or 'device' (given to a licensed collector). `then` the device goes 'on' or 'back' without it.
    `words` say what was done and by whom, `consent` what the customer said where the device itself is given away."""

    how: str
    words: str
    then: str = ON
    consent: str = ""


def cell_now(order: Order) -> str:
    """The battery as it is to be posted: as found at goods in, or as its quarantine left it.

    A device that was mended may have a new battery in it, so it counts as having a sound one.
    """
    arrival = getattr(order, "arrival", None)
    found: str = arrival.cell_state if arrival else "unseen"
    if open_slip(order, SlipReason.QUARANTINE) is not None:
        return found
    if battery_is_out(order):
        return "sound" if order.outcome in (Outcome.FIXED, Outcome.PART_FIXED) else "none"
    was_held = order.slips.filter(reason=SlipReason.QUARANTINE).exists()
    return "sound" if found == "unseen" and was_held else found


def battery_is_out(order: Order) -> bool:
    """Whether a quarantine of this order ended with the battery out of the device."""
    return order.slip_ends.filter(how__in=[SlipEnd.How.SAFE, SlipEnd.How.GIVEN]).exists()


@in_turn
def end_quarantine(*, order: Order, seen_version: int, dealt: Dealt, by: Person, at: dt.datetime) -> Order:
    """Take the slip off and say how. Raises Refused, lifecycle errors."""
    slip = open_slip(order, SlipReason.QUARANTINE)
    if slip is None:
        raise Refused("That slip was taken off already.")
    _check(order, dealt)
    words = dealt.words.strip()
    if dealt.how == SOUND:
        lifecycle.release(
            order, reason=SlipReason.QUARANTINE, by=staff(by), at=at, note=f"Looked at: sound. {words}"
        )
        return order
    kept = f"{words} Consent: {dealt.consent.strip()}" if dealt.how == DEVICE else words
    how = SlipEnd.How.SAFE if dealt.how == SAFE else SlipEnd.How.GIVEN
    row = SlipEnd.objects.create(order=order, slip=slip, how=how, words=kept[:400], at=at, by=by)
    lifecycle.release(order, reason=SlipReason.QUARANTINE, by=staff(by), at=at, note=kept[:400])
    facts: dict[str, object] = {"how": dealt.how, "then": dealt.then}
    history.record(order=order, what="quarantine ended", by=by.username, at=at, facts=facts)
    if dealt.how == DEVICE:
        return _given_away(order, row, seen_version, by, at)
    invoice = _back(order, seen_version, by, at) if dealt.then == BACK else None
    letters.tell(
        order,
        kind="battery_out",
        ref=row.pk,
        at=at,
        papers=billing.papers_of(invoice),
        ended=row,
        given=dealt.how == BATTERY,
        goes_back=dealt.then == BACK,
        invoice=invoice,
    )
    return order


def _check(order: Order, dealt: Dealt) -> None:
    if dealt.how not in (SOUND, SAFE, BATTERY, DEVICE):
        raise Refused("Say how it ended.", field="how")
    if not dealt.words.strip():
        raise Refused("Say what was done, by whom, and where the battery is now.", field="words")
    if dealt.how == SOUND and order.arrival.cell_state not in ("unseen", "sound", "none"):
        raise Refused("It came in damaged. A damaged battery does not become sound by waiting.", field="how")
    if dealt.how == DEVICE:
        _may_be_given(order, dealt)
    elif dealt.then == BACK and order.station != Station.DIAGNOSIS:
        raise Refused("It is sent back from 30 only. Here, end the repair or the quote first.", field="then")
    elif dealt.then not in (ON, BACK):
        raise Refused("Say what becomes of the device.", field="then")


def _may_be_given(order: Order, dealt: Dealt) -> None:
    if not dealt.consent.strip():
        raise Refused("The device is the customer's. Write what they said, when and how.", field="consent")
    if order.station not in (Station.DIAGNOSIS, Station.GOODS_OUT):
        raise Refused(
            "A device is given away at 30 or 80 only. Here, end the repair or the quote first.", field="how"
        )
    if billing.balance(order) > 0:
        raise Refused(
            "Something is still owed. Credit the return post first: nothing is posted.", field="how"
        )


def _back(order: Order, seen_version: int, by: Person, at: dt.datetime) -> billing.Invoice | None:
    """From 30 to 80 without its battery: the return post is all that is owed, as the form said; of a comeback that we pay
    for, nothing."""
    let_everything_go(order=order, why="its battery is damaged", by=by, at=at)
    why = "goes back without its battery"
    free = comeback.covered(order)
    invoice = None if free else billing.bill_return(order=order, rates=Rates.current(), by=by, at=at, why=why)
    _to_goods_out(order, seen_version, by, at, f"Goes back unrepaired. {WITHOUT}", Outcome.DECLINED)
    return invoice


def _to_goods_out(
    order: Order, seen_version: int, by: Person, at: dt.datetime, note: str, outcome: Outcome
) -> None:
    lifecycle.advance(
        order,
        to=Station.GOODS_OUT,
        seen_version=seen_version,
        by=staff(by),
        at=at,
        note=note,
        minutes=work.minutes_of(order, "look") or None,
        outcome=outcome,
    )


def _given_away(order: Order, row: SlipEnd, seen_version: int, by: Person, at: dt.datetime) -> Order:
    """The sheet is closed as recycled; what nobody could wipe is said so."""
    if order.station == Station.DIAGNOSIS:
        let_everything_go(order=order, why="the device is given away", by=by, at=at)
        _to_goods_out(order, seen_version, by, at, "Given to a licensed collector.", Outcome.RECYCLED)
        seen_version = order.version
    unlocking.erase(order=order, why="The device was given away", by=by.username, at=at)
    WipeRecord.objects.create(order=order, method=NOT_WIPED, at=at, by=by)
    lifecycle.advance(
        order,
        to=Station.HOME,
        seen_version=seen_version,
        by=staff(by),
        at=at,
        note="Given to a licensed collector, with consent.",
        outcome=Outcome.RECYCLED,
    )
    letters.tell(order, kind="device_given", ref=row.pk, at=at, ended=row)
    return order
