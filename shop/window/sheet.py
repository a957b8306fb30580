"""The customer's window on the sheet: their lines only, in ink, with whose turn it is on top."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from intake import tokens
from intake.models import CustomerLink, Letterhead, Order, Paper, StationLine
from intake.stations import NAMES, Outcome, SlipReason, Station
from quotes.models import Quote
from quotes.offered import Offered, offered
from shop.access import now
from shop.banking.paying import pay_context
from shop.branches import comeback, copies
from shop.vault.pages import about_the_code
from shop.window import bodies, facts, words
from shop.window.bill import money
from shop.window.by_link import private
from shop.window.facts import Facts
from shop.window.forms import QuestionForm

WHY_NOT = {Outcome.NO_FIX: "No fix. ", Outcome.OWN_DAMAGE: "Our own damage. "}
# Station 40 is the shop's own; the customer sees it only while it is what they wait for.
LINES = (
    Station.REQUEST, Station.GOODS_IN, Station.DIAGNOSIS, Station.GO_AHEAD, Station.REPAIR, Station.TEST,
    Station.GOODS_OUT,
)  # fmt: skip
BODIES = {
    Station.REQUEST: "request",
    Station.GOODS_IN: "goods_in",
    Station.DIAGNOSIS: "diagnosis",
    Station.QUOTE: "quote",
    Station.GO_AHEAD: "go_ahead",
    Station.REPAIR: "repair",
    Station.TEST: "test",
    Station.GOODS_OUT: "goods_out",
    Station.WAY_HOME: "way_home",
    Station.HOME: "home",
}


def render_window(
    request: HttpRequest,
    order: Order,
    link: CustomerLink,
    *,
    forms: Mapping[str, Form] | None = None,
    said: str = "",
    status: int = 200,
) -> HttpResponse:
    """The whole page as it stands now. `said` is a sentence on top for an act that changed nothing."""
    at, given = now(), forms or {}
    known = facts.read(order, at=at)
    context = {
        "order": order,
        "sheet": _stub(order, known) | {"stations": stations(order, known)},
        "slips": _slips(order),
        "known": known,
        "said": said,
        "letterhead": Letterhead.current(),
        "papers": _papers(order),
        "copies": copies.told(order),
        "came_back": comeback.cause_of(order) if order.station > Station.DIAGNOSIS else None,
        "question_form": given.get("question") or QuestionForm(initial={"form_key": tokens.new_token()}),
        "errors_present": any(form.errors for form in given.values()),
        **bodies.context_of(order, known, given, picked=request.GET),
        **facts.at_the_end(order),
        **pay_context(order),
        **about_the_code(order, given),
    }
    return private(render(request, "shop/window/window.html", context, status=status))


def _stub(order: Order, known: Facts) -> dict[str, Any]:
    quote = known.quote
    owed = money(known.owed, order.currency) if known.owed > 0 else ""
    deposit = money(known.deposit, order.currency) if known.deposit else ""
    offer = _offer(quote) if quote is not None and known.open else ""
    return {
        "code": order.code,
        "what": f"Your {order.device.what}",
        "turn": words.turn(
            order,
            owed=owed,
            until=quote.valid_until if quote else None,
            lapsed=known.lapsed,
            asked=known.asked,
            lost=order.at_station is Station.WAY_HOME and _is_lost(order),
            doing=known.doing,
            deposit=deposit,
        ),
        "onward": words.onward(order, owed=owed, deposit=deposit, offer=offer),
    }


def _is_lost(order: Order) -> bool:
    return order.slips.filter(reason=SlipReason.LOST, ended_at__isnull=True).exists()


def _papers(order: Order) -> list[Paper]:
    """The customer's own papers. Labels to send it in are of use only until it is here."""
    papers = order.papers.filter(for_customer=True)
    return list(
        papers if order.station == Station.GOODS_IN else papers.exclude(maker__startswith="address_label")
    )


def _slips(order: Order) -> list[dict[str, Any]]:
    """What holds it up, in the customer's words; the bench's own notes stay on the bench."""
    rows = []
    slips = list(order.slips.filter(ended_at__isnull=True))
    unpaid = any(slip.reason == SlipReason.PAYMENT for slip in slips)
    for slip in slips:
        reason, note = words.SLIPS[SlipReason(slip.reason)]
        if slip.reason == SlipReason.PART and unpaid:
            note = words.PART_UNPAID
        rows.append({"reason": reason, "note": note, "since": slip.started_at})
    return rows


def stations(order: Order, known: Facts) -> list[dict[str, Any]]:
    """The lines of the sheet that the customer sees, in their order."""
    here = order.at_station
    ended = words.end_of(order) if here is Station.HOME else order.outcome
    by_station: dict[int, list[StationLine]] = {}
    for line in order.lines.all():
        by_station.setdefault(line.station, []).append(line)
    shown = [station for station in LINES if _belongs(station, here, by_station)]
    if here not in shown:
        shown = sorted([*shown, here])
    return [_row(station, here, by_station.get(station, []), known, ended) for station in shown]


def _belongs(station: Station, here: Station, by_station: dict[int, list[StationLine]]) -> bool:
    """A station that was passed over is no line of this order."""
    return station in by_station or station > here


def _row(
    station: Station, here: Station, lines: list[StationLine], known: Facts, outcome: str
) -> dict[str, Any]:
    signed = [line for line in lines if line.signed_at]
    state = "here" if station is here else "signed" if signed and station < here else "later"
    row: dict[str, Any] = {
        "number": int(station),
        "name": NAMES[station],
        "state": state,
        "note": _why_not_mended(signed, outcome) if state == "signed" else "",
        "heading": _heading(station, known, outcome) if state == "here" else "",
        "signs": [("", signed[-1].signed_at, None)] if state == "signed" else [],
    }
    if state != "later":
        suffix = "_signed" if state == "signed" else ""
        row["template"] = f"shop/window/stations/{BODIES[station]}{suffix}.html"
    return row


def _why_not_mended(signed: list[StationLine], outcome: str) -> str:
    """What the bench wrote for the customer when it gave up or did damage; "" on every other line."""
    begins, note = WHY_NOT.get(Outcome(outcome), ""), signed[-1].note
    return note.removeprefix(begins) if begins and note.startswith(begins) else ""


def _heading(station: Station, known: Facts, outcome: str) -> str:
    quote = known.quote
    if station is Station.GO_AHEAD and quote is not None:
        return "Our quote has lapsed" if known.lapsed else _question(quote)
    if station is Station.QUOTE and quote is not None:
        return "We are writing you a new quote"
    if station is Station.HOME:
        return _CLOSED.get(outcome, "")
    if station is Station.REPAIR and known.deposit:
        return "We wait for your deposit"
    if station is Station.REPAIR and known.doing in _AT_WORK:
        return _AT_WORK[known.doing]
    return _HEADINGS.get(station, "")


def _question(quote: Quote) -> str:
    """What is asked at 50, with the price of the first work that is offered."""
    rows = offered(quote.shown)
    work = _first_work(rows)
    price = money(work.total or Decimal(0), quote.currency)
    if any(row.choice == "first" for row in rows):
        return f"Both faults can be mended for {price}. Shall we?"
    can = {"data": "We can save the data", "clean": "It can be cleaned"}.get(work.choice, "It can be mended")
    ask = "Shall we?" if sum(row.is_work for row in rows) < 2 else "Or choose another way."
    return f"{can} for {price}. {ask}"


def _offer(quote: Quote) -> str:
    """What the head of the page says is offered: '$112.32 in all', and beside it that there are other ways."""
    rows = offered(quote.shown)
    work = _first_work(rows)
    price = f"{money(work.total, quote.currency)} in all" if work.total else "Nothing to pay"
    return price if sum(row.is_work for row in rows) < 2 else f"{work.label}, {price}, or another way"


def _first_work(rows: list[Offered]) -> Offered:
    return next((row for row in rows if row.is_work), rows[0])


_HEADINGS = {
    Station.GOODS_IN: "Post it to us",
    Station.DIAGNOSIS: "We look for the fault",
    Station.QUOTE: "We work out your price",
    Station.REPAIR: "It is being mended",
    Station.TEST: "It is being tested",
}
_AT_WORK = {"data": "The data is being saved", "clean": "It is being cleaned"}
# Ends without a way home.
_CLOSED: dict[str, str] = {
    Outcome.RECYCLED: "Wiped and recycled",
    words.GIVEN_AWAY: "Handed to a licensed collector",
    Outcome.UNCLAIMED: "Closed",
    Outcome.WITHDRAWN: "Called off",
}
