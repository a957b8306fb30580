"""Station 20: the parcel is opened and compared with what was announced."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.forms import Form

from intake import arrivals
from intake.cells import LEAVE_IT_OFF, judge_cell
from intake.models import Order, Person
from intake.request_words import GOT_WET
from intake.stations import Station
from shop.bench import kept_text
from shop.traveller.forms.goods_in import GoodsInForm

FORM_ID = "goods-in"
AFTER_ARRIVAL = ("bag_label", "quarantine_slip", "arrival_receipt")
SERIAL_WORDS = {
    "same": "The serial is the one on the form.",
    "different": "The serial is not the one on the form.",
    "unknown": "The form had no serial to compare with.",
    "unread": "The serial was not read.",
}


def context(order: Order, *, person: Person, at: dt.datetime, forms: Mapping[str, Form]) -> dict[str, Any]:
    """Keys: form, announced serials, what liquid calls for, and what the signature says."""
    return {
        "form": forms.get("goods_in") or GoodsInForm(order=order, initial=_begun(order)),
        "announced_serials": [text for text in (order.device.serial, order.device.imei) if text],
        "after_liquid": LEAVE_IT_OFF if GOT_WET in order.before else "",
        "sign_form": FORM_ID,
        "sign_words": "Sign here",
        "sign_note": "then it goes to 30",
        "rail": {
            "keys": [{"words": "Photo", "key": "F8", "target": "id_outside"}],
            "sign": {"words": "Sign, on to Diagnosis", "form": FORM_ID},
        },
    }


def _begun(order: Order) -> dict[str, Any]:
    """What was typed before somebody was called away, or the next free bag."""
    draft = kept_text.kept(order, Station.GOODS_IN)
    typed: dict[str, Any] = dict(draft.fields) if draft else {}
    for name in ("contents", "marks"):
        typed[name] = str(typed.get(name, "")).splitlines()
    return typed | {"bag": typed.get("bag") or arrivals.next_bag()}


def signed_context(order: Order, *, person: Person) -> dict[str, Any]:
    """Keys: arrival (None for a sheet that was called off), missing, serial_words, cell_words, labels."""
    arrival = getattr(order, "arrival", None)
    if arrival is None:
        return {"arrival": None}
    return {
        "arrival": arrival,
        "missing": [
            item["what"] for item in arrival.contents if item.get("announced") and not item.get("here")
        ],
        "found_extra": [item["what"] for item in arrival.contents if not item.get("announced")],
        "serial_words": SERIAL_WORDS[arrival.serial_matches],
        "cell_words": judge_cell(arrival.cell_state).title,
        "labels": [
            paper for paper in order.papers.all() if paper.maker in AFTER_ARRIVAL and paper.gone_at is None
        ],
    }
