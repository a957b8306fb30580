"""From a filled form to an order: one transaction, once, whatever is clicked twice."""

import datetime as dt
import secrets

from django.db import IntegrityError

from intake import cells, codes, letters, lifecycle, tokens
from intake.history import in_turn
from intake.models import Address, Customer, CustomerLink, Device, Draft, Letterhead, Order, Paper, Photo
from intake.refusals import Refused
from intake.request_answers import AddressAnswer, RequestAnswers

DO_NOT_POST = (
    "Please do not post this device. A swollen, hot, leaking or hissing battery can catch fire on the way."
)


def submit(
    *, answers: RequestAnswers, form_key: str, at: dt.datetime, draft: Draft | None = None
) -> tuple[Order, CustomerLink]:
    """Make the order, its sheet, the shipping form and the letter.

    The same form key again (second click, lost answer) returns the order that is there. Raises Refused for a
    battery that must not travel: no order, no slip.
    """
    if answers.cell_signs:
        raise Refused(DO_NOT_POST, field="cell_signs")
    try:
        return _make(answers, form_key, at, draft)
    except IntegrityError:
        known = Order.objects.filter(form_key=form_key).first()
        if known is None:
            raise
        return known, tokens.give_link(known, at=at)


@in_turn
def _make(
    answers: RequestAnswers, form_key: str, at: dt.datetime, draft: Draft | None
) -> tuple[Order, CustomerLink]:
    known = Order.objects.filter(form_key=form_key).first()
    if known is not None:
        return known, tokens.give_link(known, at=at)
    head = Letterhead.current()
    order = order_row(answers, form_key, at, head)
    lifecycle.open_sheet(order, at=at, by=lifecycle.CUSTOMER, note=_request_note(answers, draft, head))
    if draft is not None:
        Photo.objects.filter(draft=draft, order__isnull=True).update(order=order, draft=None, shown=True)
        Draft.objects.filter(pk=draft.pk).update(order=order, answers={}, changed_at=at)
    link = tokens.give_link(order, at=at)
    papers = shipping_papers(order, head, at=at)
    letters.tell(
        order,
        kind="request_received",
        ref=order.pk,
        at=at,
        papers=papers[:1],
        after_liquid=cells.liquid_caution(order.before),
    )
    return order, link


def shipping_papers(order: Order, head: Letterhead, *, at: dt.datetime) -> list[Paper]:
    """The shipping form first, then the address label alone in three sizes."""
    titles = {
        "shipping_form": "Shipping form",
        "address_label_100x150": "Address label, 100 x 150 mm",
        "address_label_4x6": "Address label, 4 x 6 in",
        "address_label_a6": "Address label, A6",
    }
    return letters.papers(order=order, ref=order.pk, at=at, titles=titles, letterhead=head)


def _request_note(answers: RequestAnswers, draft: Draft | None, head: Letterhead) -> str:
    count = draft.photos.count() if draft is not None else 0
    photos = f" with {count} photo{'s' if count != 1 else ''}" if count else ""
    return f"Form sent in{photos}. No payment taken. Terms version {head.version} agreed."


def order_row(answers: RequestAnswers, form_key: str | None, at: dt.datetime, head: Letterhead) -> Order:
    return Order.objects.create(
        code=free_code(),
        station=20,
        customer=customer_row(answers, at=at) if answers.name or answers.email or answers.phone else None,
        device=Device.objects.create(
            kind=answers.kind,
            make=answers.make,
            model=answers.model,
            colour=answers.colour,
            serial=answers.serial,
            imei=answers.imei,
        ),
        return_address=address_row(answers.address),
        salt=secrets.token_hex(16),
        created_at=at,
        currency=head.currency,
        terms_version=head.version,
        form_key=form_key,
        symptoms=answers.symptoms,
        words=answers.words,
        idea=answers.idea,
        before=answers.before,
        before_words=answers.before_words,
        data_wish=answers.data_wish,
        backed_up=answers.backed_up,
        lock_wish=answers.lock_wish,
        standing_limit=answers.standing_limit,
        cell_signs=answers.cell_signs,
        in_the_box=answers.in_the_box,
        declared_value=answers.declared_value,
    )


def customer_row(answers: RequestAnswers, *, at: dt.datetime) -> Customer:
    """The customer with this mail, name and phone, or a new one. Nothing of an earlier order is shown to anybody.

    Anybody can type another's name and mail. The number that is rung about an earlier order never changes by it,
    nor does a stranger who does not know it come to stand as that customer.
    """
    known = None
    if answers.email:
        known = Customer.objects.filter(
            email__iexact=answers.email, name=answers.name, phone=answers.phone
        ).first()
    if known is not None:
        return known
    return Customer.objects.create(name=answers.name, email=answers.email, phone=answers.phone, created_at=at)


def address_row(given: AddressAnswer | None) -> Address | None:
    if given is None:
        return None
    return Address.objects.create(
        name=given.name,
        organisation=given.organisation,
        street=given.street,
        city=given.city,
        area=given.area,
        postcode=given.postcode,
        country=given.country,
    )


def free_code() -> str:
    """An order code nobody has; with about 10^9 codes a second draw is rare."""
    for _ in range(50):
        code = codes.new_code()
        if not Order.objects.filter(code=code).exists():
            return code
    raise RuntimeError("No free order code was found in fifty draws.")


@in_turn
def withdraw(*, order: Order, seen_version: int, by: lifecycle.Actor, at: dt.datetime) -> Order:
    """Call the request off before the parcel is taken in."""
    lifecycle.must_stand_at(order, lifecycle.Station.GOODS_IN)
    lifecycle.advance(
        order,
        to=lifecycle.Station.HOME,
        seen_version=seen_version,
        by=by,
        at=at,
        outcome=lifecycle.Outcome.WITHDRAWN,
    )
    letters.tell(
        order,
        kind="withdrawn",
        ref=order.pk,
        at=at,
    )
    return order


@in_turn
def note_posted(*, order: Order, tracking: str, at: dt.datetime) -> None:
    """The customer says it is in the post; from now on the carrier's clock runs."""
    Order.objects.filter(pk=order.pk, posted_at__isnull=True, station=20).update(
        posted_at=at, inbound_tracking=tracking[:40]
    )
