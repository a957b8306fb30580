"""The figures of time. Pure: lines and plain values in, figures out; the tables are in `table_maths`."""

from collections.abc import Iterable

from intake.stations import NAMES, Station
from shop.books.figures import Figure, Table
from shop.books.lines import STATIONS_TIMED, Books, Line
from shop.books.time import clock_maths
from shop.books.time.old_maths import old_now
from shop.books.time.shapes import Extra, Measured
from shop.books.time.stay_maths import (
    Here,
    at_station,
    in_the_building,
    measured,
    own_turnaround,
    turnaround,
)
from shop.books.time.table_maths import tables_of

STILL = "Orders still here count as still here."
UP_TO_NOW = "Orders still here count up to now."
NOT_REACHED = " So many of them are still here that this is not reached yet."
# Orders told where nothing can be called old yet.
LONGEST = 5
CROWLEY = "Brookmeyer and Crowley, 95 %"


def figures(books: Books, extra: Extra) -> list[Figure]:
    """Every figure of this page, in the order it shows them."""
    came = books.came()
    return [
        *_whole(books, came),
        *_own(books, came, extra),
        *_building(books, came),
        *_clocks(came),
        *_bench(books, came),
        *_stations(books, came),
        *_old(books, extra),
    ]


def brief(books: Books, extra: Extra) -> list[Figure]:
    """Those of the weekly page."""
    came = books.came()
    return [*_whole(books, came), *_own(books, came, extra), *_building(books, came), *_old(books, extra)]


def tables(books: Books, extra: Extra) -> list[Table]:
    """Every table of this page."""
    return tables_of(books, extra)


def _pks(lines: Iterable[Line]) -> tuple[int, ...]:
    return tuple(line.order for line in lines)


def _pair(
    found: Measured,
    pks: tuple[int, ...],
    *,
    key: str,
    names: tuple[str, str],
    means: tuple[str, str],
    mark: str,
) -> list[Figure]:
    """The middle one and eight in ten of the same orders."""
    values = (
        (found.median, found.low, found.high),
        (found.eighty, found.eighty_low, found.eighty_high),
    )
    return [
        Figure(
            f"{key}-{end}", name, value, "days", found.orders, words,
            f"{STILL} Still here: {found.running}." + ("" if value is not None or not found.orders else NOT_REACHED),
            pks, low=low, high=high, interval=CROWLEY, mark=mark,
        )
        for end, name, words, (value, low, high) in zip(
            ("median", "eighty"), names, means, values, strict=True
        )
    ]  # fmt: skip


def _whole(books: Books, came: list[Line]) -> list[Figure]:
    names = ("Half are gone by", "Eight in ten are gone by")
    middle = (
        "Days from arrival until the device was sent, handed over or recycled, for the middle one of those that arrived in the "
        "period (Kaplan and Meier)."
    )
    means = (middle, "The same for eight in ten of them.")
    found = turnaround(came, now=books.now)
    return _pair(found, _pks(came), key="time", names=names, means=means, mark="K1")


def _own(books: Books, came: list[Line], extra: Extra) -> list[Figure]:
    if extra.calendar is None:
        return []
    hours = f"{extra.calendar.week.day_seconds / 3600:.1f}"
    guess = " The opening hours are guessed." if extra.guessed else ""
    names = ("Half, in own days", "Eight in ten, in own days")
    means = (
        f"The same in opening hours alone, {hours} of them a day, without closed days.{guess}",
        "The same for eight in ten of them.",
    )
    found = own_turnaround(came, extra.calendar, now=books.now)
    return _pair(found, _pks(came), key="time-own", names=names, means=means, mark="K1")


def _building(books: Books, came: list[Line]) -> list[Figure]:
    here: Here = in_the_building(books)
    gone = books.gone()
    return [
        Figure(
            "time-arrivals", "Orders that arrived", len(came), "orders", len(came),
            "Devices taken in during the period; each device is an order.", "Orders still here are among them.",
            _pks(came), always=True,
        ),
        Figure(
            "time-departures", "Orders that left", len(gone), "orders", len(gone),
            "Devices sent, handed over or recycled during the period, whenever they arrived.",
            "Orders still here are left out.", _pks(gone), always=True,
        ),
        Figure(
            "time-here-average", "Orders in the building on average", here.average, "orders", len(here.pks),
            "Orders here at each moment of the period, its mean: the arrivals a day times the days for each (Little's law).", UP_TO_NOW, here.pks,
        ),
        Figure(
            "time-days-each", "Days in the building for each that arrived", here.days_each, "days", len(here.pks),
            "All days of all devices in the period by its arrivals. It runs behind while more come than leave.", UP_TO_NOW, here.pks,
        ),
    ]  # fmt: skip


def _clocks(came: list[Line]) -> list[Figure]:
    every, pks = clock_maths.shares(came), _pks(came)
    means = {
        "ours": "Time in which the shop had to act, by all time from arrival until the orders left.",
        "theirs": "Time in which the customer had to act: an answer, a payment, a wrong device.",
        "supplier": "Time in which a part was awaited.",
        "carrier": "Time in which a carrier had the device, or had lost it.",
    }
    found = [
        Figure(f"time-{owner}", f"Time that was {name[0].lower()}{name[1:]}", every.share(owner), "share",
               len(came), means[owner], UP_TO_NOW, pks, mark="K3")
        for owner, name in clock_maths.OWNERS.items()
    ]  # fmt: skip
    longest = clock_maths.longest_waiting(came)
    rest = clock_maths.without(came, longest)
    alone = Figure(
        "time-theirs-without", "The customer's, without the longest",
        clock_maths.shares(rest).share("theirs") if longest else None, "share", len(rest),
        "Time in which the customer had to act, without the one order that waited longest for its customer.",
        UP_TO_NOW, _pks(rest), mark="K3",
    )  # fmt: skip
    return [*found, alone]


def _bench(books: Books, came: list[Line]) -> list[Figure]:
    return [
        Figure(
            "time-flow", "Time at the bench", clock_maths.flow(came, now=books.now), "share", len(came),
            "Bench minutes by all minutes from arrival until the orders left, nights and weekends among them.",
            UP_TO_NOW, _pks(came), mark="K4",
        ),
    ]  # fmt: skip


def _stations(books: Books, came: list[Line]) -> list[Figure]:
    found = []
    for station in STATIONS_TIMED:
        stood = at_station(came, station)
        name = NAMES[Station(station)]
        spent = measured((seconds, through) for _, seconds, through in stood)
        found.append(
            Figure(
                f"time-at-{station}", f"Half are through {name.lower()} by", spent.median, "days", spent.orders,
                f"Days at station {station}, {name.lower()}, for the middle one of the orders that stood there; visits added.",
                STILL, _pks(line for line, _, _ in stood), low=spent.low, high=spent.high, interval=CROWLEY, mark="K2",
            )
        )  # fmt: skip
    return found


def _old(books: Books, extra: Extra) -> list[Figure]:
    usual = extra.usual.usual
    here = old_now(books, extra.slips, usual=usual)
    late = tuple(old.order for old in here if old.over is not None)
    if usual is None:
        means = "Fewer than half of the orders of the last 52 weeks are gone, so what is usual is not known yet. Behind it: the five longest here."
        late = tuple(old.order for old in here[:LONGEST])
    else:
        means = f"Orders still here longer than {usual:.1f} days, by which {extra.usual.usual_words} of the orders of the last 52 weeks were gone."
        if extra.usual.eighty is None:
            means += " Eight in ten are not gone yet."
    known = usual is not None
    name = "Here longer than half took" if known and extra.usual.eighty is None else "Older than usual"
    return [
        Figure(
            "time-old-here", name, len(late) if known else None, "orders", len(here), means,
            "Every order still here is looked at, whenever it arrived.", late, k=len(late) if known else None, always=True,
        ),
    ]  # fmt: skip
