"""From a mould and a planned order to rows: every value that is an order's own is put in its place."""

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import connection, models

from intake.codes import payment_reference
from intake.history import canonical
from intake.models import Device, Order, StationLine
from quotes.models import Decision, Entry, Finding, Invoice, Quote
from shop.bulk.calendar import DAY, Calendar
from shop.bulk.moulds import MODELS, Later, Link, Moment, Mould, Row, place_of
from shop.bulk.people import Sender
from shop.bulk.plan import Planned
from shop.models import Parcel, WorkSession


@dataclass
class Cast:
    """One order while its rows are made. `ids`: the pk of the first row of each table. `documents`: the printed number of each of its
    invoices and credit notes, `entries` the number of each of its entries, in the order of the mould."""

    number: int
    planned: Planned
    places: Sequence[int]
    sender: Sender
    ids: dict[type[models.Model], int]
    code: str
    salt: str
    before: int | None
    documents: Sequence[str]
    entries: Sequence[int]
    bag: str
    digests: dict[int, str]
    calendar: Calendar


Own = Callable[[Cast], Any]


class Caster:
    """A mould made ready: for each row its fixed values and the places that are each order's own."""

    def __init__(self, mould: Mould, calendar: Calendar) -> None:
        self.mould = mould
        self.rows = [(row.model, list(row.values), _own(mould, row, calendar)) for row in mould.rows]

    def cast(self, order: Cast, into: dict[type[models.Model], list[list[Any]]]) -> None:
        """Adds the rows of one order to those of a portion."""
        for model, fixed, own in self.rows:
            values = fixed.copy()
            for place, make in own:
                values[place] = make(order)
            into[model].append(values)


def _own(mould: Mould, row: Row, calendar: Calendar) -> list[tuple[int, Own]]:
    found: dict[int, Own] = {}
    for place, value in enumerate(row.values):
        if isinstance(value, Moment):
            found[place] = _moment(value, calendar)
        elif isinstance(value, Later):
            found[place] = _later(value)
        elif isinstance(value, Link):
            found[place] = _link(value.model, value.place)
    pk = row.model._meta.pk
    if pk is not None and pk.remote_field is None:
        found[place_of(row.model, pk.attname)] = _link(row.model, row.place)
    for name, make in _named(mould, row).items():
        found[place_of(row.model, name)] = make
    # What is shown comes before its digest, and both before the decision that repeats it.
    return sorted(found.items())


def _moment(value: Moment, calendar: Calendar) -> Own:
    day, midnights, passed = value.day, calendar.midnights, calendar.of_day(value.second)
    return lambda order: midnights[order.places[day]] + passed


def _later(value: Later) -> Own:
    day = value.moment.day
    return lambda order: order.calendar.later(value, order.places[day])


def _link(model: type[models.Model], place: int) -> Own:
    return lambda order: order.ids[model] + place


def _named(mould: Mould, row: Row) -> dict[str, Own]:
    """The columns that the engine cannot guess, by table."""
    makers = NAMED.get(row.model)
    own = makers(mould, row) if makers else {}
    names = {field.attname for field in row.model._meta.concrete_fields}
    for key in ("key", "form_key"):
        if key in names and key not in own:
            own[key] = _key(row)
    return own


def _key(row: Row) -> Own:
    word = f"bulk:{row.model._meta.model_name}"
    place = row.place
    return lambda order: f"{word}:{order.ids[row.model] + place}"


def _device(_mould: Mould, _row: Row) -> dict[str, Own]:
    return {"serial": lambda order: f"ZZ-{order.number:07d}"}


def _order(_mould: Mould, _row: Row) -> dict[str, Own]:
    return {
        "code": lambda order: order.code,
        "salt": lambda order: order.salt,
        "customer_id": lambda order: order.sender.pk,
        "return_address_id": lambda order: order.sender.address,
        "comeback_of_id": lambda order: order.before,
        "bag": lambda order: order.bag,
    }


def _parcel(_mould: Mould, _row: Row) -> dict[str, Own]:
    return {"address_id": lambda order: order.sender.address}


def _work(_mould: Mould, row: Row) -> dict[str, Own]:
    spent, ended = row.plain["minutes"], row.values[place_of(WorkSession, "ended_at")]

    def minutes(order: Cast) -> int:
        return at_tempo(spent, order.planned.tempo)

    def started(order: Cast) -> Any:
        return order.calendar.moment(order.places[ended.day], ended.second - 60 * minutes(order))

    return {"minutes": minutes, "started_at": started}


def _station_line(_mould: Mould, row: Row) -> dict[str, Own]:
    spent, station = row.plain["minutes"], row.plain["station"]
    if not spent or station not in (30, 60, 70):
        return {}
    return {"minutes": lambda order: at_tempo(spent, order.planned.tempo)}


def at_tempo(minutes: int, tempo: int) -> int:
    return max(1, (minutes * tempo + 50) // 100)


def _quote(_mould: Mould, row: Row) -> dict[str, Own]:
    """What is shown, with the order's own code, days and finding, and the digest over exactly that."""
    shown, promise, until = (
        row.plain["shown"],
        row.values[place_of(Quote, "promise")],
        row.values[place_of(Quote, "valid_until")],
    )
    finding = row.values[place_of(Quote, "finding_id")]
    parts = _template(shown)
    place = row.place

    def filled(order: Cast) -> Any:
        day = order.calendar.date(promise, order.places[promise.moment.day]).isoformat() if promise else ""
        late = order.calendar.aware(order.places[until.moment.day], until.second) + DAY * until.days
        valid = late.isoformat()
        text = parts.replace("\x01", order.code).replace("\x02", day).replace("\x03", valid)
        text = text.replace('"\x04"', str(order.ids[Finding] + finding.place))
        order.digests[place] = hashlib.sha256(text.encode()).hexdigest()
        return (
            text if connection.vendor == "sqlite" else connection.ops.adapt_json_value(json.loads(text), None)
        )

    return {"shown": filled, "digest": lambda order: order.digests[place]}


def _template(shown: dict[str, Any]) -> str:
    """The canonical text of what is shown, with a hole for whatever is the order's own."""
    own = {**shown, "order": "\x01", "valid_until": "\x03", "finding": {**shown["finding"], "id": "\x04"}}
    text = canonical(own)
    for hole in "\x01\x03\x04":
        text = text.replace(json.dumps(hole)[1:-1], hole)
    return text.replace(f'"{shown["promise"]}"', '"\x02"') if shown.get("promise") else text


def _decision(mould: Mould, row: Row) -> dict[str, Own]:
    quote = row.values[place_of(Decision, "quote_id")].place
    return {
        "digest": lambda order: order.digests[quote],
        "typed_name": lambda order: order.sender.name,
    }


def _invoice(_mould: Mould, row: Row) -> dict[str, Own]:
    kind, place = row.plain["key"].partition(":")[0], row.place
    quote = row.values[place_of(Invoice, "quote_id")]

    def key(order: Cast) -> str:
        of = order.ids[Quote] + quote.place if kind == "agreed" else order.ids[Order]
        return (
            f"{kind}:{of}" if kind in ("agreed", "return") else f"bulk:invoice:{order.ids[Invoice] + place}"
        )

    return {
        "key": key,
        "number": lambda order: order.documents[place],
        "reference": lambda order: (
            payment_reference(order.documents[place].replace("-", "")) if row.plain["reference"] else ""
        ),
        "to_name": lambda order: order.sender.name,
        "to_lines": lambda order: order.sender.lines,
        "to_email": lambda order: order.sender.email,
    }


def _entry(mould: Mould, row: Row) -> dict[str, Own]:
    place, (what, _, old) = row.place, row.plain["key"].partition(":")
    model = next(known for known in MODELS if known._meta.model_name == KEYED[what])
    own = mould.of(model)
    pks = [one.plain[model._meta.pk.attname] for one in own]
    of = pks.index(int(old))
    # Of the end of a dispute the pk is the dispute's.
    named = own[of].values[0]
    target, of_target = (named.model, named.place) if isinstance(named, Link) else (model, of)
    found: dict[str, Own] = {
        "number": lambda order: order.entries[place],
        "key": lambda order: f"{what}:{order.ids[target] + of_target}",
    }
    if model is Invoice:
        title = row.plain["text"].partition(row.plain["document"])[0]
        found["document"] = lambda order: order.documents[of]
        found["text"] = lambda order: f"{title}{order.documents[of]}, {order.sender.name}"
    return found


KEYED = {
    "invoice": "invoice",
    "payment": "payment",
    "write-off": "writeoff",
    "dispute": "dispute",
    "dispute-end": "disputeend",
}
NAMED: dict[type[models.Model], Callable[[Mould, Row], dict[str, Own]]] = {
    Device: _device,
    Order: _order,
    Parcel: _parcel,
    StationLine: _station_line,
    WorkSession: _work,
    Quote: _quote,
    Decision: _decision,
    Invoice: _invoice,
    Entry: _entry,
}
