"""The customer's window on the sheet: their lines only, in ink, with whose turn it is on top."""

from collections.abc import Mapping
from typing import Any

from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from intake import tokens
from intake.models import CustomerLink, Letterhead, Order, Paper, StationLine
from intake.stations import NAMES, Outcome, SlipReason, Station
from quotes import decisions
from quotes.models import Decision
from shop.access import now
from shop.window import facts, words
from shop.window.bill import bill_of, money, under_choices
from shop.window.by_link import private
from shop.window.facts import Facts
from shop.window.forms import ChoiceForm, PostedForm, QuestionForm, version_form

NO_FIX = "No fix. "
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
        "question_form": given.get("question") or QuestionForm(initial={"form_key": tokens.new_token()}),
        "errors_present": any(form.errors for form in given.values()),
        **_station_context(order, known, given),
        **facts.at_the_end(order),
    }
    return private(render(request, "shop/window/window.html", context, status=status))


def _stub(order: Order, known: Facts) -> dict[str, Any]:
    quote = known.quote
    owed = money(known.owed, order.currency) if known.owed > 0 else ""
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
        ),
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
    for slip in order.slips.filter(ended_at__isnull=True):
        reason, note = words.SLIPS[SlipReason(slip.reason)]
        rows.append({"reason": reason, "note": note, "since": slip.started_at})
    return rows


def stations(order: Order, known: Facts) -> list[dict[str, Any]]:
    """The lines of the sheet that the customer sees, in their order."""
    here = order.at_station
    by_station: dict[int, list[StationLine]] = {}
    for line in order.lines.all():
        by_station.setdefault(line.station, []).append(line)
    shown = [station for station in LINES if _belongs(station, here, by_station)]
    if here not in shown:
        shown = sorted([*shown, here])
    return [_row(station, here, by_station.get(station, []), known, order.outcome) for station in shown]


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
        "note": _why_not_mended(signed) if state == "signed" and outcome == Outcome.NO_FIX else "",
        "heading": _heading(station, known, outcome) if state == "here" else "",
        "signs": [("", signed[-1].signed_at, None)] if state == "signed" else [],
    }
    if state != "later":
        suffix = "_signed" if state == "signed" else ""
        row["template"] = f"shop/window/stations/{BODIES[station]}{suffix}.html"
    return row


def _why_not_mended(signed: list[StationLine]) -> str:
    """What the bench wrote for the customer when it gave up; "" on every other line."""
    note = signed[-1].note
    return note.removeprefix(NO_FIX) if note.startswith(NO_FIX) else ""


def _heading(station: Station, known: Facts, outcome: str) -> str:
    quote = known.quote
    if station is Station.GO_AHEAD and quote is not None:
        if known.lapsed:
            return "Our quote has lapsed"
        both = any(choice["choice"] == "first" for choice in quote.shown["choices"])
        return f"{'Both faults' if both else 'It'} can be mended for {money(quote.total, quote.currency)}. Shall we?"
    if station is Station.QUOTE and quote is not None:
        return "We are writing you a new quote"
    if station is Station.HOME:
        return _CLOSED.get(outcome, "")
    return _HEADINGS.get(station, "")


_HEADINGS = {
    Station.GOODS_IN: "Post it to us",
    Station.DIAGNOSIS: "We look for the fault",
    Station.QUOTE: "We work out your price",
    Station.REPAIR: "It is being mended",
    Station.TEST: "It is being tested",
}
# Ends without a way home.
_CLOSED: dict[str, str] = {
    Outcome.RECYCLED: "Wiped and recycled",
    Outcome.UNCLAIMED: "Closed",
    Outcome.WITHDRAWN: "Called off",
}


def _station_context(order: Order, known: Facts, given: Mapping[str, Form]) -> dict[str, Any]:
    """What the open station's body needs."""
    context: dict[str, Any] = {"finding": known.finding, "decision": known.decision}
    at, quote = order.at_station, known.quote
    if at is Station.GOODS_IN:
        context |= {
            "posted_form": given.get("posted") or PostedForm(),
            "version_form": version_form(order),
        }
    if quote is not None:
        context |= {"quote": quote, "bill": bill_of(quote)}
    if known.open and quote is not None:
        context["choice_form"] = given.get("choice") or ChoiceForm(
            initial={"quote": quote.digest}, shown=quote, said=under_choices(quote)
        )
    if at is Station.REPAIR and _may_stop(order):
        context |= {"may_stop": True, "version_form": version_form(order)}
    if at >= Station.TEST:
        context |= _done(order)
    if at >= Station.GOODS_OUT:
        context |= {"recycled": order.outcome == Outcome.RECYCLED}
    return context


def _may_stop(order: Order) -> bool:
    agreed = decisions.agreed_quote(order)
    return (
        agreed is not None
        and agreed.decision.channel == Decision.Channel.LIMIT
        and not facts.work_has_begun(order)
    )


def _done(order: Order) -> dict[str, Any]:
    run = order.test_runs.filter(passed=True).order_by("-number").first()
    return {
        "steps": list(order.steps.filter(done_at__isnull=False)),
        "test_rows": list(run.rows.all()) if run is not None else [],
    }
