"""Station 30: measure, find, say what it needs."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.forms import Form

from intake.models import Order, Person, Photo
from intake.stations import SlipReason
from shop.bench import work
from shop.traveller.bodies.finding import finding_context
from shop.traveller.bodies.readings import reading_line, readings_of
from shop.traveller.forms.beside import PhotoForm


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


def fault_photos(order: Order) -> list[Photo]:
    return list(order.photos.filter(role=Photo.Role.FAULT))


def _held(order: Order, reason: SlipReason) -> bool:
    return order.slips.filter(reason=reason, ended_at__isnull=True).exists()


def minutes_here(order: Order, person: Person, at: dt.datetime, kind: str = "look") -> dict[str, Any]:
    """What runs, and what is written down already: for the signature column and the line with the switch."""
    written = work.minutes_of(order, kind)
    running = work.running_of(person)
    mine = running if running is not None and running.order_id == order.pk and running.kind == kind else None
    spent = written + (int((at - mine.started_at).total_seconds()) // 60 if mine else 0)
    return {
        "written": written,
        "running": mine,
        "running_elsewhere": running if running is not None and mine is None else None,
        "clock": f"{spent // 60}:{spent % 60:02d}",
    }
