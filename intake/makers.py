"""From rows to the ground floor's papers: each function fills the plain values a paper is drawn from."""

import datetime as dt
from zoneinfo import ZoneInfo

from intake import cells, photo_files
from intake.addressing import address_lines, shop_lines
from intake.models import Arrival, HistoryHead, Letterhead, Order, Paper, Photo
from intake.paper_files import Maker, register
from intake.papers.address_label import AddressLabel, address_label_pdf
from intake.papers.arrival_receipt import ArrivalReceipt, arrival_receipt_pdf
from intake.papers.bag_label import BagLabel, bag_label_pdf
from intake.papers.head import Head, Snap
from intake.papers.quarantine_slip import QuarantineSlip, quarantine_slip_pdf
from intake.papers.shipping_form import ShippingForm, shipping_form_pdf
from intake.request_words import LOCK_WISH, said_wish

MOST_SNAPS = 6
DATA_WISHES = {
    "needed": "What is on it matters: please keep it",
    "nice": "Keep it if it costs nothing extra",
    "no": "Nothing on it is needed",
}


def head_of(letterhead: Letterhead) -> Head:
    return Head(
        shop_name=letterhead.name,
        address=shop_lines(letterhead)[1:],
        email=letterhead.email,
        phone=letterhead.phone,
        legal_name=letterhead.legal_name,
        tax_number=letterhead.tax_number,
        currency=letterhead.currency,
        locale=letterhead.locale,
        zone=letterhead.zone,
        page=letterhead.paper_size,
    )


def snaps(photos: list[Photo]) -> tuple[Snap, ...]:
    return tuple(
        Snap(photo.caption or photo.get_role_display(), photo_files.shown(photo))
        for photo in photos[:MOST_SNAPS]
    )


def said(order: Order) -> str:
    """What the customer sees, ticks and own words in one."""
    ticks = ", ".join(order.symptoms)
    return ". ".join(part for part in (ticks, order.words) if part)


def customer_name(order: Order) -> str:
    return order.customer.name if order.customer else "Unknown sender"


def chain_head() -> str:
    """The digest of the newest history entry, printed so that a cut tail is found."""
    head = HistoryHead.objects.filter(pk=1).first()
    return head.digest if head is not None else ""


def _shipping_form(paper: Paper) -> bytes:
    order, letterhead = paper.order, paper.letterhead
    profile = cells.PROFILES.get(letterhead.post_profile, cells.PROFILES["plain"])
    return shipping_form_pdf(
        ShippingForm(
            head=head_of(letterhead),
            code=order.code,
            send_to=shop_lines(letterhead),
            sender=address_lines(order.return_address, home=letterhead.country),
            device=order.device.what,
            symptom=said(order),
            made_on=order.created_at.astimezone(ZoneInfo(letterhead.zone)).date(),
            serial=order.device.serial or order.device.imei,
            happened=". ".join(part for part in (", ".join(order.before), order.before_words) if part),
            idea=order.idea,
            data_wish=DATA_WISHES.get(order.data_wish, ""),
            lock_note=said_wish(LOCK_WISH, order.lock_wish),
            contents=tuple(order.in_the_box),
            post_marks=profile.marks,
            post_marks_source=profile.source if profile.marks else "",
            diagnosis_words=letterhead.diagnosis_words,
            standing_limit=order.standing_limit,
            declared_value=order.declared_value,
            terms_version=str(letterhead.version),
            liquid_words=cells.liquid_caution(order.before),
        )
    )


def _address_label(size: str) -> Maker:
    def draw(paper: Paper) -> bytes:
        profile = cells.PROFILES.get(paper.letterhead.post_profile, cells.PROFILES["plain"])
        label = AddressLabel(
            send_to=shop_lines(paper.letterhead),
            sender=address_lines(paper.order.return_address, home=paper.letterhead.country),
            code=paper.order.code,
            post_marks=profile.marks,
        )
        return address_label_pdf(label, size=size)

    return draw


def _bag_label(paper: Paper) -> bytes:
    order = paper.order
    arrival = Arrival.objects.filter(order=order).first()
    suspect = arrival is not None and cells.judge_cell(arrival.cell_state).quarantine
    return bag_label_pdf(
        BagLabel(
            code=order.code,
            device=order.device.short or order.device.get_kind_display(),
            bag=order.bag,
            flag="Battery in quarantine" if suspect else "",
        )
    )


def _quarantine_slip(paper: Paper) -> bytes:
    order, arrival = paper.order, paper.order.arrival
    return quarantine_slip_pdf(
        QuarantineSlip(
            code=order.code,
            device=order.device.what,
            found_at=arrival.at,
            found_by=arrival.received_by.initials,
            seen=cells.judge_cell(arrival.cell_state).title,
            zone=paper.letterhead.zone,
        )
    )


def _arrival_receipt(paper: Paper) -> bytes:
    order = paper.order
    arrival = Arrival.objects.select_related("received_by").get(pk=paper.ref)
    photos = order.photos.filter(
        role__in=[Photo.Role.OUTSIDE, Photo.Role.OPENING], taken_at__lte=arrival.at + dt.timedelta(minutes=1)
    )
    return arrival_receipt_pdf(
        ArrivalReceipt(
            head=head_of(paper.letterhead),
            code=order.code,
            customer=customer_name(order),
            device=order.device.what,
            received_at=arrival.at,
            received_by=str(arrival.received_by),
            contents=tuple(str(item["what"]) for item in arrival.contents if item.get("here")),
            missing=tuple(
                str(item["what"])
                for item in arrival.contents
                if item.get("announced") and not item.get("here")
            ),
            condition=arrival.condition,
            serial=arrival.serial_read,
            weight_grams=arrival.weight_grams,
            box=f"{arrival.parcel_state}. {arrival.parcel_words}".strip(". "),
            battery=cells.judge_cell(arrival.cell_state).title,
            bag=order.bag,
            photos=snaps(list(photos)),
            chain_head=chain_head(),
        )
    )


def register_all() -> None:
    register("shipping_form", _shipping_form)
    for size in ("100x150", "4x6", "a6"):
        register(f"address_label_{size}", _address_label(size.upper() if size == "a6" else size))
    register("bag_label", _bag_label)
    register("quarantine_slip", _quarantine_slip)
    register("arrival_receipt", _arrival_receipt)
