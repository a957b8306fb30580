"""What a walked order left in the tables, taken apart into what stays and what each cast order has of its own."""

import datetime as dt
import zoneinfo
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.db import connection, models

from intake.models import Address, Arrival, Customer, Device, Letterhead, Order, Person, Slip, StationLine
from quotes.models import (
    Decision,
    Dispute,
    DisputeEnd,
    Entry,
    Finding,
    Invoice,
    InvoiceLine,
    Move,
    Part,
    Payment,
    Posting,
    Quote,
    QuoteChoice,
    QuoteEnd,
    QuoteLine,
    Rates,
    Remedy,
    WriteOff,
)
from shop.models import (
    ComebackCause,
    Cost,
    Override,
    Parcel,
    TestRun,
    TestSheet,
    Warranty,
    WipeRecord,
    WorkSession,
)

# In the order in which they may be written. Letters, papers, readings, steps and rows of tests are left out: the books
# do not read them, and they would be most of the rows.
TABLES: tuple[tuple[type[models.Model], str], ...] = (
    (Device, "orders"),
    (Order, ""),
    (StationLine, "order"),
    (Slip, "order"),
    (Arrival, "order"),
    (Finding, "order"),
    (Quote, "order"),
    (QuoteChoice, "quote__order"),
    (QuoteLine, "quote__order"),
    (QuoteEnd, "quote__order"),
    (Decision, "quote__order"),
    (Move, "order"),
    (WorkSession, "order"),
    (TestRun, "order"),
    (Invoice, "order"),
    (InvoiceLine, "invoice__order"),
    (Payment, "order"),
    (WriteOff, "order"),
    (Dispute, "payment__order"),
    (DisputeEnd, "dispute__payment__order"),
    (Entry, "order"),
    (Posting, "entry__order"),
    (Parcel, "order"),
    (Warranty, "order"),
    (Cost, "order"),
    (Override, "order"),
    (WipeRecord, "order"),
    (ComebackCause, "order"),
)
MODELS = tuple(model for model, _ in TABLES)
# Rows that all orders share, or that the caster names.
SHARED = frozenset({Person, Letterhead, Rates, Remedy, Part, TestSheet, Customer, Address, Order})
# From which moment of its own row, or of the order's first quote (""), a day or a last moment is counted on.
COUNTED_FROM: dict[tuple[type[models.Model], str], str] = {
    (Quote, "valid_until"): "sent_at",
    (Quote, "promise"): "sent_at",
    (QuoteChoice, "promise"): "",
    (Order, "promise"): "",
    (Order, "first_promise"): "",
    (Invoice, "due"): "issued_at",
    (Entry, "day"): "at",
    (Slip, "due"): "started_at",
    (Dispute, "answer_by"): "at",
    (Warranty, "starts"): "home",
    (Warranty, "ends"): "home",
}


@dataclass(frozen=True)
class Moment:
    """A moment of a walk: its day, counted from the request, and the seconds since that midnight UTC."""

    day: int
    second: int


@dataclass(frozen=True)
class Later:
    """A day, or a moment (`second`), so many days after a moment of the walk."""

    moment: Moment
    days: int
    second: int = -1


@dataclass(frozen=True)
class Link:
    """Names another row of the same order by its place among the rows of its table."""

    model: type[models.Model]
    place: int


@dataclass(frozen=True)
class Row:
    """One row: values as the database takes them, Moments, Laters, Links."""

    model: type[models.Model]
    place: int
    values: tuple[Any, ...]
    plain: dict[str, Any]


@dataclass(frozen=True)
class Mould:
    """Everything one walked order left. `days`: the last day of its walk. `counts`: rows by table."""

    name: str
    rows: tuple[Row, ...]
    days: int
    counts: dict[type[models.Model], int]

    def of(self, model: type[models.Model]) -> list[Row]:
        return [row for row in self.rows if row.model is model]


def mould_of(order: Order, *, name: str, start: dt.datetime) -> Mould:
    """Read every row of an order; `start` is the midnight its walk began at."""
    found = {model: list(_rows(model, path, order)) for model, path in TABLES}
    places = {(model, row.pk): place for model, rows in found.items() for place, row in enumerate(rows)}
    taker = _Taker(order, start, places, found)
    rows = tuple(taker.row(model, place, row) for model in MODELS for place, row in enumerate(found[model]))
    days = [value.day for row in rows for value in row.values if isinstance(value, Moment)]
    return Mould(name, rows, max(days), {model: len(found[model]) for model in MODELS})


def _rows(model: type[models.Model], path: str, order: Order) -> Iterator[Any]:
    if model is Order:
        return iter([order])
    where = {path: order} if path else {"pk": order.pk}
    return iter(model._default_manager.filter(**where).order_by("pk"))


class _Taker:
    def __init__(
        self, order: Order, start: dt.datetime, places: dict[Any, int], found: dict[Any, list[Any]]
    ) -> None:
        self.start, self.places = start, places
        self.zone = zoneinfo.ZoneInfo(found[Quote][0].letterhead.zone) if found[Quote] else None
        self.quoted = found[Quote][0].sent_at if found[Quote] else None
        parcel = found[Parcel][0] if found[Parcel] else None
        self.home = parcel.delivered_at if parcel else None

    def row(self, model: type[models.Model], place: int, row: models.Model) -> Row:
        fields = model._meta.concrete_fields
        plain = {field.attname: getattr(row, field.attname) for field in fields}
        values = tuple(self._value(model, field, row) for field in fields)
        return Row(model, place, values, plain)

    def _value(self, model: type[models.Model], field: Any, row: Any) -> Any:
        value = getattr(row, field.attname)
        if value is None:
            return None
        if isinstance(field, models.ForeignKey):
            target = field.related_model
            place = self.places.get((target, value))
            if place is not None:
                return Link(target, place)
            if target not in SHARED:
                raise TypeError(f"{model.__name__}.{field.attname} names a row that is not cast.")
            return value
        anchor = COUNTED_FROM.get((model, field.attname))
        if anchor is not None:
            return self._later(value, self._anchor(row, anchor))
        if isinstance(field, models.DateTimeField):
            return self.moment(value)
        if isinstance(field, models.DateField):
            raise TypeError(f"{model.__name__}.{field.attname} is counted from nothing.")
        return field.get_db_prep_save(value, connection)

    def moment(self, at: dt.datetime) -> Moment:
        days, rest = divmod(at - self.start, dt.timedelta(days=1))
        return Moment(days, rest.seconds)

    def _anchor(self, row: Any, name: str) -> dt.datetime:
        at = self.quoted if not name else self.home if name == "home" else getattr(row, name)
        if at is None:
            raise TypeError(f"{row!r} has no moment to count from.")
        return at

    def _later(self, value: dt.date, at: dt.datetime) -> Later:
        if isinstance(value, dt.datetime):
            whole = self.moment(value)
            return Later(self.moment(at), whole.day - self.moment(at).day, whole.second)
        return Later(self.moment(at), (value - at.date()).days)


def columns(model: type[models.Model]) -> list[str]:
    return [field.column for field in model._meta.concrete_fields]


def place_of(model: type[models.Model], name: str) -> int:
    """Where a column stands among the values of a row."""
    return [field.attname for field in model._meta.concrete_fields].index(name)
