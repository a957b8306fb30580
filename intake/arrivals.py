"""The parcel is here: what was in it, compared with what was announced."""

import datetime as dt
import re
import secrets
from dataclasses import dataclass, field

from django.db import IntegrityError, transaction

from intake import cells, history, letters, lifecycle, submissions
from intake.history import in_turn
from intake.lifecycle import staff
from intake.models import Arrival, Customer, Letterhead, Order, Person, Photo
from intake.refusals import Refused
from intake.request_answers import RequestAnswers
from intake.stations import SlipReason, Station


@dataclass(frozen=True)
class Opened:
    """What the technician noted at the opening line. `contents` keeps the order of the form."""

    parcel_state: str
    cell_state: str
    bag: str
    parcel_words: str = ""
    contents: list[dict[str, object]] = field(default_factory=list)
    condition: str = ""
    serial_read: str = ""
    weight_grams: int | None = None
    minutes: int | None = None


def compare_serial(order: Order, read: str) -> str:
    """One of "unread", "unknown" (the form has none), "same" or "different"; spacing and case do not count."""
    plain = re.sub(r"[^A-Z0-9]", "", read.upper())
    if not plain:
        return "unread"
    announced = {
        re.sub(r"[^A-Z0-9]", "", text.upper()) for text in (order.device.serial, order.device.imei) if text
    }
    if not announced:
        return "unknown"
    return "same" if plain in announced else "different"


@in_turn
def receive(*, order: Order, seen_version: int, opened: Opened, by: Person, at: dt.datetime) -> Arrival:
    """Sign 20: arrival row, bag, slips for a bad cell or a foreign serial, labels, letter.

    Raises Refused for a bag in use and lifecycle errors for a sheet that moved.
    """
    who = staff(by)
    matches = compare_serial(order, opened.serial_read)
    if Arrival.objects.filter(order=order).exists():
        raise lifecycle.SheetMoved("This parcel was taken in already. Here is how it stands now.")
    seen = {name: value for name, value in vars(opened).items() if name not in ("bag", "minutes")}
    arrival = Arrival.objects.create(order=order, at=at, received_by=by, serial_matches=matches, **seen)
    _take_bag(order, opened.bag, at)
    lifecycle.advance(
        order,
        to=Station.DIAGNOSIS,
        seen_version=seen_version,
        by=who,
        at=at,
        note=arrival_note(arrival),
        minutes=opened.minutes,
        facts={"bag": opened.bag, "cell": opened.cell_state, "serial": matches},
    )
    if cells.judge_cell(opened.cell_state).quarantine:
        _quarantine(order, opened.cell_state, who, at)
    if matches == "different":
        lifecycle.hold(
            order,
            reason=SlipReason.WRONG_DEVICE,
            by=who,
            at=at,
            note="The serial on the device is not the one on the form. Ask before anything else is done.",
        )
    _tell(order, arrival, at)
    return arrival


def _take_bag(order: Order, bag: str, at: dt.datetime) -> None:
    holder = (
        Order.objects.filter(bag=bag, closed_at__isnull=True, sent_at__isnull=True)
        .exclude(pk=order.pk)
        .first()
    )
    if holder is not None:
        raise Refused(f"Bag {bag} holds {holder.code}. One device a bag.", field="bag")
    try:
        with transaction.atomic():
            Order.objects.filter(pk=order.pk).update(bag=bag, arrived_at=at)
    except IntegrityError as fault:
        raise Refused(f"Bag {bag} was taken a moment ago.", field="bag") from fault


def _quarantine(order: Order, state: str, who: lifecycle.Actor, at: dt.datetime) -> None:
    lifecycle.hold(
        order,
        reason=SlipReason.QUARANTINE,
        by=who,
        at=at,
        note=f"{cells.judge_cell(state).title}. Do not charge, press or post. Follow the local rules for damaged cells.",
    )
    letters.paper(
        order=order,
        maker="quarantine_slip",
        ref=order.pk,
        title="Quarantine slip",
        file_name=f"{order.code}-quarantine.pdf",
        at=at,
        for_customer=False,
    )


def _tell(order: Order, arrival: Arrival, at: dt.datetime) -> None:
    letters.paper(
        order=order,
        maker="bag_label",
        ref=order.pk,
        title="Bag label",
        file_name=f"{order.code}-bag.pdf",
        at=at,
        for_customer=False,
    )
    receipt = letters.paper(
        order=order,
        maker="arrival_receipt",
        ref=arrival.pk,
        title="Receipt of your device",
        file_name=f"{order.code}-received.pdf",
        at=at,
    )
    photos = order.photos.filter(role__in=[Photo.Role.OUTSIDE, Photo.Role.OPENING])
    photos.update(shown=True)
    letters.tell(
        order,
        kind="arrived",
        ref=order.pk,
        at=at,
        papers=[receipt],
        photos=list(photos[:6]),
        arrival=arrival,
        note=arrival_note(arrival),
        device=order.device,
    )


def arrival_note(arrival: Arrival) -> str:
    """One line for the sheet and the letter: parcel, contents, what is missing, condition."""
    here = [str(item["what"]) for item in arrival.contents if item.get("here")]
    missing = [
        str(item["what"]) for item in arrival.contents if item.get("announced") and not item.get("here")
    ]
    words = [f"Parcel {arrival.parcel_state}."]
    if arrival.parcel_words:
        words.append(arrival.parcel_words.rstrip(".") + ".")
    if here:
        words.append("In it: " + ", ".join(here) + ".")
    if missing:
        words.append("Announced but not in it: " + ", ".join(missing) + ".")
    if arrival.condition:
        words.append(arrival.condition.rstrip(".") + ".")
    return " ".join(words)


@in_turn
def start_unannounced(*, answers: RequestAnswers, form_key: str, by: Person, at: dt.datetime) -> Order:
    """A parcel without a form: the sheet begins at 20, station 10 stays blank."""
    known = Order.objects.filter(form_key=form_key).first()
    if known is not None:
        return known
    order = submissions.order_row(answers, form_key, at, Letterhead.current())
    lifecycle.open_sheet(order, at=at, by=staff(by), signed_request=False)
    return order


@in_turn
def say_who(*, order: Order, sender: RequestAnswers, by: Person, at: dt.datetime) -> None:
    """Who sent a parcel without a form, and where it goes back to, once that is known.

    What is known already stays. A letter about the arrival goes now if none could go before.
    """
    if order.customer_id is None:
        order.customer = submissions.customer_row(sender, at=at)
    if order.return_address_id is None and sender.address is not None:
        order.return_address = submissions.address_row(sender.address)
    order.save(update_fields=["customer", "return_address"])
    history.record(
        order=order,
        what="sender known",
        by=by.username,
        at=at,
        facts={"name": history.sealed(order, sender.name), "email": history.sealed(order, sender.email)},
    )
    arrival = Arrival.objects.filter(order=order).first()
    if arrival is not None:
        _tell(order, arrival, at)


@in_turn
def start_comeback(*, order: Order, words: str, form_key: str, by: Person, at: dt.datetime) -> Order:
    """A new sheet pinned to an old one that is closed; it begins at 20. The same form key starts one.

    Whose it is must be asked anew where the old one's person was erased since.
    """
    known = Order.objects.filter(form_key=form_key).first()
    if known is not None:
        return known
    if order.closed_at is None:
        raise Refused("This sheet is still open. A comeback starts when the device has been home.")
    head = Letterhead.current()
    gone = Customer.objects.filter(pk=order.customer_id, erased_at__isnull=False).exists()
    again = Order.objects.create(
        code=submissions.free_code(),
        station=Station.GOODS_IN,
        customer=None if gone else order.customer,
        device=order.device,
        return_address=None if gone else order.return_address,
        comeback_of=order,
        salt=secrets.token_hex(16),
        created_at=at,
        currency=order.currency,
        terms_version=head.version,
        form_key=form_key,
        words=words.strip()[:4000],
        data_wish=order.data_wish,
        backed_up=order.backed_up,
        lock_wish=order.lock_wish,
        in_the_box=order.in_the_box,
    )
    lifecycle.open_sheet(again, at=at, by=staff(by), signed_request=False)
    history.record(order=order, what="came back", by=by.username, at=at, facts={"new sheet": again.code})
    return again


def next_bag() -> str:
    """The lowest bag number nothing is in."""
    taken = set(
        Order.objects.filter(closed_at__isnull=True, sent_at__isnull=True)
        .exclude(bag="")
        .values_list("bag", flat=True)
    )
    number = 1
    while f"B-{number:02d}" in taken:
        number += 1
    return f"B-{number:02d}"
