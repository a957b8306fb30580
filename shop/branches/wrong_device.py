"""The device in the box is not the one on the form: how that ended."""

import datetime as dt
import re
from dataclasses import dataclass

from intake import codes, history, letters, lifecycle
from intake.history import in_turn
from intake.lifecycle import staff
from intake.models import Device, Order, Person, Slip
from intake.refusals import Refused
from intake.stations import Outcome, SlipReason, Station
from quotes import billing
from quotes.models import Rates
from shop.bench import work
from shop.branches.letting_go import let_everything_go
from shop.models import SlipEnd

FORM, SWAPPED, BACK = SlipEnd.How.FORM, SlipEnd.How.SWAPPED, SlipEnd.How.BACK


@dataclass(frozen=True)
class Ended:
    """How it ended, in a word of SlipEnd.How, and what the customer said. `serial` is the one on the device; make, model
    and colour are of the other device, where it is another."""

    how: str
    words: str
    serial: str = ""
    make: str = ""
    model: str = ""
    colour: str = ""


def open_slip(order: Order, reason: SlipReason) -> Slip | None:
    """The slip of that reason that is still on the order."""
    return order.slips.filter(reason=reason, ended_at__isnull=True).first()


@in_turn
def end_wrong_device(
    *, order: Order, seen_version: int, ended: Ended, by: Person, at: dt.datetime
) -> SlipEnd:
    """Take the slip off: the form was wrong, another device goes on, or it goes back as it came (only from 30).

    Raises Refused, lifecycle errors.
    """
    slip = open_slip(order, SlipReason.WRONG_DEVICE)
    if slip is None:
        raise Refused("That slip was taken off already.")
    _check(ended)
    before = order.device.serial or order.device.imei or "none"
    if ended.how != BACK:
        _write_device(order, ended)
    row = SlipEnd.objects.create(
        order=order, slip=slip, how=ended.how, words=ended.words.strip()[:400], at=at, by=by
    )
    note = _note(ended, before)
    lifecycle.release(order, reason=SlipReason.WRONG_DEVICE, by=staff(by), at=at, note=note)
    facts: dict[str, object] = {"how": ended.how, "before": history.sealed(order, before)}
    if ended.serial:
        facts["read"] = history.sealed(order, ended.serial)
    history.record(order=order, what="wrong device ended", by=by.username, at=at, facts=facts)
    if ended.how == BACK:
        _send_back(order, row, seen_version, by, at)
    else:
        kind = "wrong_device_form" if ended.how == FORM else "wrong_device_swapped"
        letters.tell(order, kind=kind, ref=row.pk, at=at, ended=row, serial=ended.serial, before=before)
    return row


def _check(ended: Ended) -> None:
    if ended.how not in (FORM, SWAPPED, BACK):
        raise Refused("Say how it ended.", field="how")
    if not ended.words.strip():
        raise Refused("Say what the customer said, and how it was cleared up.", field="words")
    if ended.how != BACK and not ended.serial.strip():
        raise Refused("Write the serial that is on the device.", field="serial")


def _note(ended: Ended, before: str) -> str:
    if ended.how == BACK:
        return f"It goes back as it came. {ended.words.strip()}"
    return f"The form had {before}, the device has {ended.serial.strip()}. {ended.words.strip()}"


def _write_device(order: Order, ended: Ended) -> None:
    """The serial as read. A device that other sheets share keeps its row there: this sheet gets a row of its own."""
    device: Device = order.device
    shared = device.orders.exclude(pk=order.pk).exists()
    if ended.how == SWAPPED:
        device.make, device.model = (
            ended.make.strip()[:60] or device.make,
            ended.model.strip()[:80] or device.model,
        )
        device.colour = ended.colour.strip()[:40] or device.colour
    device.serial, device.imei = _serial_and_imei(ended.serial.strip()[:40])
    if shared or ended.how == SWAPPED:
        device.pk = None
        device._state.adding = True
    device.save()
    Order.objects.filter(pk=order.pk).update(device=device)
    order.device = device


def _serial_and_imei(read: str) -> tuple[str, str]:
    """15 digits that add up are an IMEI, anything else a serial."""
    verdict = codes.imei_check(read)
    return ("", re.sub(r"\D", "", read)) if verdict.kind == "imei" and verdict.ok else (read, "")


def _send_back(order: Order, row: SlipEnd, seen_version: int, by: Person, at: dt.datetime) -> None:
    """From 30 straight to 80: nothing was looked for, so the return post is all that is owed, as the form said."""
    lifecycle.must_stand_at(order, Station.DIAGNOSIS)
    let_everything_go(order=order, why="not the device on the form", by=by, at=at)
    invoice = billing.bill_return(
        order=order, rates=Rates.current(), by=by, at=at, why="not the device on the form"
    )
    lifecycle.advance(
        order,
        to=Station.GOODS_OUT,
        seen_version=seen_version,
        by=staff(by),
        at=at,
        note="Not the device on the form. It goes back as it came.",
        minutes=work.minutes_of(order, "look") or None,
        outcome=Outcome.DECLINED,
    )
    letters.tell(
        order,
        kind="wrong_device_back",
        ref=row.pk,
        at=at,
        papers=billing.papers_of(invoice),
        ended=row,
        invoice=invoice,
    )
