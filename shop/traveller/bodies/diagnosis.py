"""Station 30: measure, find, say what it needs."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.forms import Form

from intake.models import Order, Person, Photo
from intake.stations import SlipReason
from shop.branches import at_station
from shop.pictures.seen import Seen, of_roles
from shop.traveller.bodies.finding import finding_context
from shop.traveller.bodies.readings import reading_line, readings_of
from shop.traveller.forms.beside import PhotoForm
from shop.traveller.minutes import minutes_here


def context(order: Order, *, person: Person, at: dt.datetime, forms: Mapping[str, Form]) -> dict[str, Any]:
    """Readings so far, the reading line, the minutes, and the finding that signs the station."""
    return {
        **readings_of(order),
        **reading_line(order, forms, after=False, person=person, at=at),
        **minutes_here(order, person, at),
        **finding_context(order, forms),
        "fault_photos": fault_photos(order),
        "fault_photo_form": PhotoForm(
            prefix="photo", auto_id="fault_%s", initial={"role": Photo.Role.FAULT, "shown": True}
        ),
        "quarantined": _held(order, SlipReason.QUARANTINE),
        "wrong_device": _held(order, SlipReason.WRONG_DEVICE),
        **at_station.comeback_at(order, person, forms),
        **at_station.ends_at_bench(order, forms),
        "sign_form": "finding",
        "sign_note": "then it goes to 40",
        "rail": {
            "keys": [
                {"words": "Photo", "key": "F8", "target": "fault_photo-photos"},
                {"words": "Reading", "key": "F2", "target": "reading_line"},
            ],
            "sign": {"words": "Sign, on to Quote", "form": "finding"},
        },
    }


def signed_context(order: Order, *, person: Person) -> dict[str, Any]:
    return {**readings_of(order), "fault_photos": fault_photos(order), "findings": list(order.findings.all())}


def fault_photos(order: Order) -> list[Seen]:
    return of_roles(order, Photo.Role.FAULT, Photo.Role.BEFORE)


def _held(order: Order, reason: SlipReason) -> bool:
    return order.slips.filter(reason=reason, ended_at__isnull=True).exists()
