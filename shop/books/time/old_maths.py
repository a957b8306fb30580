"""What is old now, and why. Pure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from intake.stations import NAMES, Clock, SlipReason, Station, whose_clock
from shop.books.lines import DAY_SECONDS, Books, Line
from shop.books.time.clock_maths import OWNERS

CLOCK_WORDS = {
    Clock.SHOP: OWNERS["ours"],
    Clock.CUSTOMER: OWNERS["theirs"],
    Clock.SUPPLIER: OWNERS["supplier"],
    Clock.CARRIER: OWNERS["carrier"],
    Clock.NOBODY: "Nobody's",
}
WAITS = {
    Station.GOODS_IN: "to be taken in",
    Station.DIAGNOSIS: "to be looked at",
    Station.QUOTE: "for its quote to be written",
    Station.GO_AHEAD: "for an answer to the quote",
    Station.REPAIR: "to be repaired",
    Station.TEST: "to be tested",
    Station.GOODS_OUT: "to be sent",
}


@dataclass(frozen=True)
class Old:
    """An order still here. `over`: days beyond the usual, None where it is not beyond it or none is known."""

    order: int
    days: float
    over: float | None
    station: str
    clock: str
    why: str


def old_now(books: Books, slips: Mapping[int, tuple[str, ...]], *, usual: float | None) -> list[Old]:
    """Every order still here, the longest first. `usual`: days by which eight in ten are gone."""
    found = [_old(line, slips.get(line.order, ()), books.now, usual) for line in books.here()]
    return sorted(found, key=lambda old: (-old.days, old.order))


def _old(line: Line, reasons: Iterable[str], now: int, usual: float | None) -> Old:
    station, held = Station(line.station), frozenset(SlipReason(reason) for reason in reasons)
    days = line.stay(now)[0] / DAY_SECONDS
    over = days - usual if usual is not None and days > usual else None
    clock = whose_clock(station, held)
    return Old(
        line.order,
        days,
        over,
        f"{int(station)} {NAMES[station]}",
        CLOCK_WORDS[clock],
        _why(line, station, held),
    )


def _why(line: Line, station: Station, held: frozenset[SlipReason]) -> str:
    if held:
        return "Slip: " + ", ".join(sorted(held))
    if station is Station.GOODS_OUT and line.balance > 0 and not line.trade:
        return "Not paid, no slip"
    if station is Station.GO_AHEAD and line.answer == "lapsed":
        return "Its quote lapsed: write a new one, or send it back"
    return f"Waits {WAITS.get(station, 'for the next step')}"
