"""What stands beside the stations: slips, messages, photos, papers, history."""

import datetime as dt
import secrets
from collections.abc import Mapping
from typing import Any

from django.forms import Form

from intake.models import Order, Photo
from intake.stations import SlipReason, Station
from shop.branches import at_station
from shop.pictures.seen import seen
from shop.traveller.forms.beside import MessageForm, PhotoForm, SlipForm
from shop.traveller.forms.goods_in import SenderForm
from shop.traveller.history_words import entry_words
from shop.vault.pages import about_the_code

LAST_ENTRIES = 8
# What is written on a slip after "Held:", where the bare reason would not be English.
HELD = {
    SlipReason.QUARANTINE: "its battery is in quarantine",
    SlipReason.WRONG_DEVICE: "not the device on the form",
}
# These need more than a word to come off.
SLIP_ENDS = {
    SlipReason.QUARANTINE: "shop/branches/quarantine_end.html",
    SlipReason.WRONG_DEVICE: "shop/branches/wrong_device_end.html",
}
# The role a new photo most likely has, by where the device is.
USUAL_ROLE = {
    Station.GOODS_IN: Photo.Role.OPENING,
    Station.DIAGNOSIS: Photo.Role.FAULT,
    Station.REPAIR: Photo.Role.AFTER,
    Station.TEST: Photo.Role.AFTER,
    Station.GOODS_OUT: Photo.Role.PACKED,
}


def side(order: Order, *, forms: Mapping[str, Form], at: dt.datetime, whole_history: bool) -> dict[str, Any]:
    """Context of the page around the stations. `forms` may hold bound ones: message, slip, photo."""
    role = USUAL_ROLE.get(order.at_station, Photo.Role.FAULT)
    return {
        "slips": _slips(order),
        "slip_end_form": forms.get("slip_end"),
        **at_station.slip_forms(order, forms),
        **at_station.copies_beside(order, forms),
        "thread": list(order.messages.all()),
        "photos": seen(order.photos.all(), readings=True),
        "papers": order.papers.all(),
        "trouble": list(order.letters.filter(state__in=["held", "dead"])),
        "message_form": forms.get("message") or MessageForm(initial={"form_key": secrets.token_urlsafe(24)}),
        "slip_form": forms.get("slip") or SlipForm(prefix="slip"),
        "photo_form": forms.get("photo") or PhotoForm(prefix="photo", initial={"role": role}),
        "sender_form": _sender_form(order, forms),
        **about_the_code(order, forms),
        **_history(order, whole=whole_history),
    }


def _sender_form(order: Order, forms: Mapping[str, Form]) -> Form | None:
    """Asked for while nobody, or no way back, is known."""
    if order.customer is not None and order.return_address is not None:
        return None
    known = order.customer
    initial = {"name": known.name, "email": known.email, "phone": known.phone} if known else {}
    return forms.get("sender") or SenderForm(prefix="sender", initial=initial)


def _slips(order: Order) -> list[dict[str, Any]]:
    return [
        {
            "reason": slip.reason,
            "said": HELD.get(SlipReason(slip.reason), ""),
            "note": slip.note,
            "since": slip.started_at,
            "due": slip.due,
            "id": slip.pk,
            "heading": "Held:",
            "template": SLIP_ENDS.get(SlipReason(slip.reason), "shop/slip_end.html"),
        }
        for slip in order.slips.all()
        if slip.ended_at is None
    ]


def _history(order: Order, *, whole: bool) -> dict[str, Any]:
    newest = order.history.order_by("-seq")
    entries = list(newest if whole else newest[: LAST_ENTRIES + 1])
    more = not whole and len(entries) > LAST_ENTRIES
    shown = entries if whole else entries[:LAST_ENTRIES]
    return {
        "entries": [
            {"at": entry.at, "who": entry.who, "words": entry_words(entry.what, entry.facts)}
            for entry in shown
        ],
        "entries_more": more,
    }
