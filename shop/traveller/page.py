"""The traveller as staff see it: one page over all floors, drawn station by station.

The open station's body comes from its module in `shop.traveller.bodies`:
  context(order, *, person, at, forms) -> dict    keys for templates/shop/stations/<name>.html
A signed station that has something to show has
  signed_context(order, *, person) -> dict        keys for templates/shop/stations/<name>_signed.html
or, where a form may still be sent when it is signed (payments), instead of it
  after_context(order, *, person, forms) -> dict
Both templates also get `order`, `person`, `at` and `station`. Keys with a meaning for the page around the body
(`station` below): sign_form, sign_words, sign_note, clock, clock_note, heading, and `rail` = dict(keys, sign) for the foot.
"""

import datetime as dt
from collections.abc import Mapping
from types import ModuleType
from typing import Any

from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string

from intake.models import Order, Person, StationLine
from intake.stations import NAMES, ON_THE_SHEET, Station
from shop.access import now, person_of
from shop.traveller import bodies
from shop.traveller.bill import early_money
from shop.traveller.minutes import minutes_side
from shop.traveller.side import side
from shop.traveller.stub import stub

Forms = Mapping[str, Form]
Row = dict[str, Any]

BODIES: dict[Station, ModuleType] = {
    Station.GOODS_IN: bodies.goods_in,
    Station.DIAGNOSIS: bodies.diagnosis,
    Station.QUOTE: bodies.quote,
    Station.GO_AHEAD: bodies.go_ahead,
    Station.REPAIR: bodies.repair,
    Station.TEST: bodies.test,
    Station.GOODS_OUT: bodies.goods_out,
    Station.WAY_HOME: bodies.way_home,
    Station.HOME: bodies.home,
}
FOR_THE_STATION = ("sign_form", "sign_words", "sign_note", "clock", "clock_note", "heading")


def render_sheet(
    request: HttpRequest,
    order: Order,
    *,
    forms: dict[str, Form] | None = None,
    status: int = 200,
    unsent: list[tuple[str, str]] | None = None,
) -> HttpResponse:
    """The whole page. `forms` holds bound forms by name, to be shown with what is wrong in them.

    `unsent` is what somebody typed for a station that was signed meanwhile: (label, value), shown to be copied.
    """
    person, at, given = person_of(request), now(), forms or {}
    lines = list(order.lines.all())
    drawn = _Drawing(request, order, person, at, given)
    sheet = stub(order) | {"stations": drawn.stations(lines)}
    context = {
        "order": order,
        "sheet": sheet,
        "rail": drawn.rail,
        "unsent": unsent or [],
        "errors_present": any(form.errors for form in given.values()),
        "early": early_money(order, person=person, forms=given),
        "minutes": minutes_side(order, person=person, at=at, forms=given),
        "bad_forms": [form for form in given.values() if form.errors],
        **side(order, forms=given, at=at, whole_history=request.GET.get("history") == "all"),
    }
    return render(request, "shop/sheet.html", context, status=status)


class _Drawing:
    """One drawing of one sheet: the stations in their order, and the foot rail the open one asks for."""

    def __init__(
        self, request: HttpRequest, order: Order, person: Person, at: dt.datetime, forms: Forms
    ) -> None:
        self.request, self.order, self.person, self.at, self.forms = request, order, person, at, forms
        self.rail: Row | None = None

    def stations(self, lines: list[StationLine]) -> list[Row]:
        here = self.order.at_station
        shown = [*ON_THE_SHEET, *([here] if here not in ON_THE_SHEET else [])]
        return [self._row(station, [line for line in lines if line.station == station]) for station in shown]

    def _row(self, station: Station, lines: list[StationLine]) -> Row:
        signed = [line for line in lines if line.signed_at]
        here = station == self.order.at_station
        row: Row = {
            "number": int(station),
            "name": NAMES[station],
            "state": "here" if here else "signed" if signed else "later",
            "note": " ".join(line.note for line in signed if line.note),
            "signs": [(line.initials, line.signed_at, line.minutes) for line in signed],
            "due": _due(self.order, station) if not here and not signed else "",
        }
        if here:
            self._open(station, row)
        elif signed:
            self._signed(station, row)
        return row

    def _open(self, station: Station, row: Row) -> None:
        body = BODIES.get(station)
        if body is None:
            return
        context = body.context(self.order, person=self.person, at=self.at, forms=self.forms)
        row |= {key: context[key] for key in FOR_THE_STATION if key in context}
        if rail := context.get("rail"):
            self.rail = {"station": row["number"], "name": row["name"], "time": row.get("clock", ""), **rail}
        row["html"] = self._draw(f"{_name(body)}.html", row, context)

    def _signed(self, station: Station, row: Row) -> None:
        body = BODIES.get(station)
        if body is not None and hasattr(body, "after_context"):
            context = body.after_context(self.order, person=self.person, forms=self.forms)
        elif body is not None and hasattr(body, "signed_context"):
            context = body.signed_context(self.order, person=self.person)
        else:
            return
        row["html"] = self._draw(f"{_name(body)}_signed.html", row, context)

    def _draw(self, template: str, row: Row, context: Row) -> str:
        around = {"order": self.order, "person": self.person, "at": self.at, "station": row}
        return render_to_string(f"shop/stations/{template}", around | context, self.request)


def _name(body: ModuleType) -> str:
    return body.__name__.rpartition(".")[2]


def _due(order: Order, station: Station) -> str:
    """What stands on a blank line: that it was passed over, or nothing yet."""
    if station is Station.REQUEST:
        return "No form was sent: the parcel came first."
    return "Not needed" if order.station > station else ""
