"""The readings of a sheet as ruled lines, and the line that takes the next one; shared by 30, 60 and 70."""

import datetime as dt
import json
import secrets
from collections.abc import Mapping
from typing import Any

from django.forms import Form
from django.urls import reverse

from intake.models import Order, Person, Photo
from quotes import reading_words
from quotes.models import Reading
from quotes.reading_text import ReadingError, parse_reading
from quotes.verdicts import OK, UNKNOWN
from shop.pictures.seen import of_roles
from shop.traveller import sticky
from shop.traveller.before_after import before_and_after
from shop.traveller.forms.beside import PhotoForm
from shop.traveller.forms.diagnosis import ReadingForm
from shop.traveller.measuring import line_to

QUIET = ("", OK, UNKNOWN)


def reading_line(
    order: Order,
    forms: Mapping[str, Form],
    *,
    after: bool,
    person: Person | None = None,
    at: dt.datetime | None = None,
) -> dict[str, Any]:
    """The form of the line with what stayed from the last reading, what it offers, and where it goes."""
    kept = sticky.circumstances(order, person, at)
    form = forms.get("reading") or ReadingForm(initial={**kept, "key": new_key()})
    return {
        "reading_form": form,
        "reading_url": reverse("shop:reading_after" if after else "shop:take_reading", args=[order.code]),
        "reading_after_repair": after,
        "replaces": _replaced(form, order),
        "offered": sticky.offered(order, str(form["board"].value() or "")),
    }


def readings_of(order: Order) -> dict[str, Any]:
    """`readings` that stand, `replaced` ones, and `understood`: how the newest was read."""
    rows = [
        row_of(reading) for reading in order.readings.select_related("by").prefetch_related("marks").all()
    ]
    standing = [row for row in rows if row["reading"].superseded_by_id is None]
    newest = max(standing, key=lambda row: row["reading"].pk, default=None)
    return {
        "readings": standing,
        "replaced": [row for row in rows if row["reading"].superseded_by_id is not None],
        "understood": understood(newest["reading"]) if newest else "",
    }


def readings_after(
    order: Order, forms: Mapping[str, Form], *, person: Person | None = None, at: dt.datetime | None = None
) -> dict[str, Any]:
    """The pairs, an empty reading line, and the photos after; shared by 60 and 70."""
    return {
        **pairs_of(order),
        **reading_line(order, forms, after=True, person=person, at=at),
        "after_photos": of_roles(order, Photo.Role.AFTER),
        "photos_before": of_roles(order, Photo.Role.FAULT, Photo.Role.BEFORE),
        "after_photo_form": PhotoForm(
            prefix="photo", auto_id="after_%s", initial={"role": Photo.Role.AFTER, "shown": True}
        ),
    }


def pairs_of(order: Order) -> dict[str, Any]:
    """`pairs` before and after, `replaced` readings, and how the newest was read."""
    rows = list(order.readings.select_related("by").prefetch_related("marks").all())
    standing = [row for row in rows if row.superseded_by_id is None]
    pairs = [
        {**pair, "row": row_of(pair["last"]), "again": again_words(pair["last"], after=True)}
        for pair in before_and_after(standing)
    ]
    return {
        "pairs": pairs,
        "replaced": [row_of(row) for row in rows if row.superseded_by_id is not None],
        "understood": understood(standing[-1]) if standing else "",
    }


def row_of(reading: Reading) -> dict[str, Any]:
    """One reading for the table: what it says, what it should be and from where, and what links to it."""
    return {
        "reading": reading,
        "read": reading_words.amount(reading.value, reading.special, reading.prefix, reading.unit),
        "should_be": should_be(reading),
        "source": reading.expected_from,
        "out": reading.verdict not in QUIET,
        "overruled": bool(reading.proposed) and reading.proposed != reading.verdict,
        "marks": [mark for mark in reading.marks.all() if mark.removed_at is None and mark.number],
        "again": again_words(reading, after=False),
    }


def should_be(reading: Reading) -> str:
    """The limits in the reading's own prefix, or the word a good board shows; "" where nothing is known."""
    words = reading_words.should_be(reading.low, reading.high, reading.prefix, reading.unit)
    return words or reading.expected_special


def again(reading: Reading, *, after: bool) -> dict[str, Any]:
    """What the line holds to measure this place again the same way. Limits of own good boards are looked up anew.

    `after`: at 60 and 70 a reading before the repair is never replaced; a new one after it stands beside it. Nor is one
    after the repair replaced at 30.
    """
    typed = reading.expected_n is None
    replaces = after == (reading.phase == "after")
    return {
        "line": reading.typed if replaces else line_to(reading),
        "instead_of": str(reading.pk) if replaces else "",
        "low": (reading.expected_special or _plain(reading.low)) if typed else "",
        "high": _plain(reading.high) if typed else "",
        "expected_from": reading.expected_from if typed else "",
        **sticky.of_reading(reading),
    }


def again_words(reading: Reading, *, after: bool) -> str:
    return json.dumps(again(reading, after=after))


def again_form(order: Order, pk: str) -> Form | None:
    """The line filled for the reading `pk` of this order, which may come from an address; None for none such."""
    found = order.readings.filter(pk=int(pk)) if pk.isdecimal() and len(pk) < 19 else order.readings.none()
    reading = found.filter(superseded_by__isnull=True).first()
    if reading is None:
        return None
    after = order.station > 30
    return ReadingForm(initial={**again(reading, after=after), "key": new_key()}, focused=True)


def understood(reading: Reading) -> str:
    try:
        words = parse_reading(reading.typed).understood
    except ReadingError:
        words = f"{reading.point}: {reading.mode}."
    return f"{words} {reading.verdict.capitalize()}: {reading.verdict_why}" if reading.verdict else words


def new_key() -> str:
    return secrets.token_urlsafe(24)


def _replaced(form: Form, order: Order) -> dict[str, Any] | None:
    """The reading that is about to be replaced, so that the form says so."""
    pk = str(form["instead_of"].value() or "")
    row = order.readings.filter(pk=int(pk)).first() if pk.isdecimal() and len(pk) < 19 else None
    return row_of(row) if row else None


def _plain(limit: Any) -> str:
    return "" if limit is None else f"{limit.normalize():f}"
