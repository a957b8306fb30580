"""Station 30: measure, find, say what it needs."""

import datetime as dt
import secrets
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.forms import Form

from intake.models import Order, Person, Photo
from intake.stations import SlipReason, Station
from quotes import reading_words
from quotes.faults import KNOWN_FAULTS
from quotes.models import Finding, Reading, Remedy
from quotes.reading_text import ReadingError, parse_reading
from quotes.verdicts import OK, UNKNOWN
from shop.bench import kept_text, work
from shop.traveller.forms.beside import PhotoForm
from shop.traveller.forms.diagnosis import FindingForm, ReadingForm

LATELY = 60
OPEN_EXPECTED = "OL expected"
QUIET = ("", OK, UNKNOWN)


def context(order: Order, *, person: Person, at: dt.datetime, forms: Mapping[str, Form]) -> dict[str, Any]:
    """Readings so far, the reading line, the minutes, and the finding that signs the station."""
    rows = readings_of(order)
    minutes = minutes_here(order, person, at)
    draft = None if "finding" in forms else kept_text.kept(order, Station.DIAGNOSIS)
    reading_form = forms.get("reading") or reading_form_after(order)
    return {
        **rows,
        **minutes,
        "reading_form": reading_form,
        "replaces": _replaced(reading_form, rows["readings"]),
        "finding_form": forms.get("finding") or _finding_form(order, draft.fields if draft else {}),
        "kept_at": draft.changed_at if draft else None,
        "faults": known_faults(),
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


def readings_of(order: Order) -> dict[str, Any]:
    """`readings` that stand, `replaced` ones, and `understood`: how the newest was read."""
    rows = [_row(reading) for reading in order.readings.select_related("by").all()]
    standing = [row for row in rows if row["reading"].superseded_by_id is None]
    newest = max(standing, key=lambda row: row["reading"].pk, default=None)
    return {
        "readings": standing,
        "replaced": [row for row in rows if row["reading"].superseded_by_id is not None],
        "understood": newest["understood"] if newest else "",
    }


def _row(reading: Reading) -> dict[str, Any]:
    open_expected = reading.expected_from.startswith(OPEN_EXPECTED)
    return {
        "reading": reading,
        "read": reading_words.amount(reading.value, reading.special, reading.prefix, reading.unit),
        "should_be": _should_be(reading),
        "out": reading.verdict not in QUIET,
        "key": secrets.token_urlsafe(24),
        "low": "OL" if open_expected else _as_typed(reading.low),
        "high": _as_typed(reading.high),
        "source": reading.expected_from.removeprefix(OPEN_EXPECTED).removeprefix(", "),
        "understood": _understood(reading),
    }


def _as_typed(limit: Decimal | None) -> str:
    """A limit in the base unit, as the reading line takes it."""
    return "" if limit is None else f"{limit.normalize():f}"


def _should_be(reading: Reading) -> str:
    words = reading_words.should_be(reading.low, reading.high, reading.prefix, reading.unit)
    return words or ("OL" if reading.expected_from.startswith(OPEN_EXPECTED) else "")


def _understood(reading: Reading) -> str:
    try:
        words = parse_reading(reading.typed).understood
    except ReadingError:
        words = f"{reading.point}: {reading.mode}."
    return f"{words} {reading.verdict.capitalize()}: {reading.verdict_why}" if reading.verdict else words


def reading_form_after(order: Order) -> ReadingForm:
    """An empty line; state, board and meter stay as at the last reading, since a hand rarely changes them."""
    last = order.readings.last()
    same = {name: getattr(last, name) for name in ("state", "board", "meter")} if last else {}
    return ReadingForm(initial={**same, "key": secrets.token_urlsafe(24)})


def _replaced(form: Form, rows: list[dict[str, Any]]) -> dict[str, Any] | None:
    """The reading a refused replacement was meant for, so that the form still says so."""
    pk = str(form["instead_of"].value() or "")
    return next((row for row in rows if str(row["reading"].pk) == pk), None)


def _finding_form(order: Order, kept: dict[str, Any]) -> FindingForm:
    before = order.findings.last()
    known = (
        {name: getattr(before, name) for name in ("fault_class", "place", "cause", "words", "idea_words")}
        if before
        else {}
    )
    return FindingForm(order=order, initial={**known, **kept, "key": secrets.token_urlsafe(24)})


def known_faults() -> list[str]:
    """Kinds of fault to choose from: the bench's own words first, then the common ones."""
    own = [
        *Remedy.objects.filter(active=True).exclude(fault_class="").values_list("fault_class", flat=True),
        *Finding.objects.order_by("-id").values_list("fault_class", flat=True)[:LATELY],
    ]
    return list(dict.fromkeys([*own, *KNOWN_FAULTS]))


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
