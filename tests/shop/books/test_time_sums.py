"""The figures and tables of time over lines made by hand."""

import datetime as dt
import zoneinfo
from typing import Any

import pytest

from shop.books.figures import Figure, Table
from shop.books.hours_maths import USUAL, calendar_over
from shop.books.lines import Books, House, Line, Window
from shop.books.time import drawn
from shop.books.time.compare_maths import compared
from shop.books.time.shapes import NOTHING, Extra, Measured, Week
from shop.books.time.sums import figures, tables
from shop.books.time.week_maths import mondays, output, signals_said, slowness, weeks_of

ZONE = zoneinfo.ZoneInfo("Europe/Berlin")
HOUSE = House("EUR", 2, ZONE, 7000)
DAY = 86_400


def moment(text: str) -> int:
    return int(dt.datetime.fromisoformat(text).replace(tzinfo=ZONE).timestamp())


NOW = moment("2026-11-27T18:00")
SINCE = moment("2026-08-29T00:00")


def books(*lines: Line, since: int = SINCE) -> Books:
    return Books(HOUSE, NOW, Window("quarter", "", since, NOW + 1), lines)


def stayed(pk: int, days: float, *, here: bool = False, start: str = "2026-09-07T09:00", **more: Any) -> Line:
    """Left after so many days; or here, arrived so many days ago."""
    if here:
        return Line(pk, arrived=NOW - int(days * DAY), **{"station": 30, **more})
    arrived = moment(start)
    return Line(pk, arrived=arrived, left=arrived + int(days * DAY), **{"station": 100, **more})


def found(of: Books, extra: Extra = NOTHING) -> dict[str, Figure]:
    return {figure.key: figure for figure in figures(of, extra)}


def table(of: Books, key: str, extra: Extra = NOTHING) -> Table:
    return next(each for each in tables(of, extra) if each.key == key)


def test_open_orders_count_as_open() -> None:
    """The handbook case: eleven closed with a median of 4 days, three still here; the median is 5."""
    closed = [stayed(pk, days) for pk, days in enumerate([1, 2, 2, 3, 4, 4, 5, 5, 6, 7, 9])]
    here = [stayed(20 + pk, days, here=True) for pk, days in enumerate([12, 15, 20])]
    assert found(books(*closed))["time-median"].value == 4.0
    figure = found(books(*closed, *here))["time-median"]
    assert (figure.value, figure.n, figure.few) == (5.0, 14, False)
    assert "Still here: 3." in figure.open_orders
    assert set(figure.behind) == {*range(11), 20, 21, 22}


def test_with_nothing_there_is_nothing_to_say() -> None:
    empty = found(books())
    assert empty["time-median"].value is None
    assert empty["time-theirs"].value is None
    assert empty["time-flow"].value is None
    assert empty["time-here-average"].value == 0.0
    assert all(
        not table.rows
        for table in tables(books(), NOTHING)
        if table.key not in ("time-stations", "time-clocks")
    )


def test_orders_that_came_before_the_window_are_left_out() -> None:
    old = stayed(1, 30, start="2026-08-20T09:00")
    assert found(books(old))["time-median"].n == 0
    assert found(books(old))["time-departures"].value == 1


def test_own_days_leave_a_weekend_out() -> None:
    """Friday 13:00 to Monday 13:00 is one own day of eight hours."""
    calendar = calendar_over(USUAL, (), ZONE, since=SINCE, until=NOW)
    line = stayed(1, 3.0, start="2026-09-04T13:00")
    figure = found(books(line), Extra(calendar))["time-own-median"]
    assert figure.value == 1.0
    assert "8.0 of them a day" in figure.means
    assert "guessed" in figure.means
    assert "guessed" not in found(books(line), Extra(calendar, guessed=False))["time-own-median"].means


def test_stations_count_visits_and_the_one_that_runs() -> None:
    lines = [
        stayed(1, 5, at30=DAY, at60=2 * DAY),
        stayed(2, 5, at30=3 * DAY),
        stayed(3, 9, here=True, station=60, at30=DAY, at60=4 * DAY),
    ]
    rows = {row["station"]: row for row in table(books(*lines), "time-stations").named()}
    looked, mended = rows["30 Diagnosis"], rows["60 Repair"]
    assert (looked["orders"], looked["here"], looked["median"], looked["days"]) == (3, 0, 1.0, 5.0)
    assert (mended["orders"], mended["here"], mended["median"], mended["days"]) == (2, 1, 2.0, 6.0)
    assert rows["20 Goods in"]["orders"] == 0
    figure = found(books(*lines))["time-at-60"]
    assert (figure.value, figure.behind) == (2.0, (1, 3))


def test_clocks_with_and_without_the_longest_waiting() -> None:
    lines = [
        stayed(1, 4, ours=DAY, theirs=3 * DAY),
        stayed(2, 2, ours=DAY, supplier=DAY),
        stayed(3, 40, here=True, ours=DAY, theirs=39 * DAY),
    ]
    shown = found(books(*lines))
    assert shown["time-theirs"].value == pytest.approx(42 / 46)
    assert shown["time-theirs-without"].value == pytest.approx(3 / 6)
    every = [shown[f"time-{name}"].value or 0 for name in ("ours", "theirs", "supplier", "carrier")]
    assert sum(every) == pytest.approx(1.0)
    clocks = table(books(*lines), "time-clocks")
    assert clocks.sums[1] == pytest.approx(46)
    assert clocks.sums[3] == pytest.approx(6)


def test_bench_share_of_elapsed_time() -> None:
    lines = [stayed(1, 1, look=30, repair=60, talk=10), stayed(2, 1, here=True, test=44)]
    assert found(books(*lines))["time-flow"].value == pytest.approx(144 / 2880)


def test_breakdowns_add_up_to_all() -> None:
    lines = [
        stayed(pk, 1 + pk % 7, family=f"Zarnik {pk % 3}", fault=("port" if pk % 2 else ""), technician=pk % 2)
        for pk in range(1, 31)
    ]
    lines.append(stayed(40, 8, here=True, family="Zarnik 0"))
    for key in ("time-family", "time-fault", "time-technician", "time-month"):
        rows = list(table(books(*lines), key).named())
        assert sum(int(row["orders"] or 0) for row in rows) == 31, key
        assert sum(int(row["here"] or 0) for row in rows) == 1, key
    months = [row["month"] for row in table(books(*lines), "time-month").named()]
    assert months == ["2026-09", "2026-11"]


def test_curve_table_is_true_of_each_whole_day() -> None:
    """Left after 1.2, 2.0 and 2.5 days; one here since 2.9 days counts as here for two."""
    lines = [stayed(1, 1.2), stayed(2, 2.0), stayed(3, 2.5), stayed(4, 2.9, here=True)]
    rows = [(row["day"], row["here"], row["left"]) for row in table(books(*lines), "time-curve").named()]
    assert rows == [(2, 4, 2), (3, 1, 1)]
    gone = [row["gone"] for row in table(books(*lines), "time-curve").named()]
    assert gone == [pytest.approx(0.5), pytest.approx(1.0)]


def test_the_two_largest_groups_are_compared() -> None:
    quick = [stayed(pk, 1 + pk % 3, family="Zarnik Z7", fault="port") for pk in range(12)]
    slow = [stayed(20 + pk, 6 + pk % 3, family="Oblivu One", fault="port") for pk in range(10)]
    few = [stayed(40, 5, family="Quibbet Tab Mini")]
    said = compared(books(*quick, *slow, *few), "family")
    assert said.startswith("The two largest, Zarnik Z7 (12) and Oblivu One (10)")
    assert "fewer than once in a thousand times" in said
    alike = [stayed(60 + pk, 1 + pk % 3, family="Oblivu One") for pk in range(12)]
    assert "100 times in a hundred" in compared(books(*quick, *alike), "family")
    assert compared(books(*quick, *slow), "fault") == ""
    assert compared(books(*quick, *slow[:9]), "family") == ""
    assert compared(books(*quick, *slow), "technician") == ""


def test_old_now_says_where_whose_and_why() -> None:
    lines = [
        stayed(1, 30, here=True, station=60),
        stayed(2, 3, here=True, station=50),
        stayed(3, 10, here=True, station=80, balance=100),
        stayed(4, 5),
    ]
    extra = Extra(usual=Measured(orders=40, eighty=9.0), slips={1: ("for a part",)})
    rows = list(table(books(*lines), "time-old", extra).named())
    assert [row["order"] for row in rows] == [1, 3, 2]
    assert [row["why"] for row in rows] == [
        "Slip: for a part",
        "Not paid, no slip",
        "Waits for an answer to the quote",
    ]
    lapsed = next(table(books(lines[1]._replace(answer="lapsed")), "time-old", extra).named())
    assert lapsed["why"] == "Its quote lapsed: write a new one, or send it back"
    on_account = lines[2]._replace(trade=True)
    assert next(table(books(on_account), "time-old", extra).named())["why"] == "Waits to be sent"
    assert [row["whose"] for row in rows] == ["A supplier's", "Ours", "The customer's"]
    assert [row["over"] for row in rows] == [pytest.approx(21), pytest.approx(1), None]
    figure = found(books(*lines), extra)["time-old-here"]
    assert (figure.value, figure.n, figure.behind) == (2, 3, (1, 3))


def test_old_now_leans_on_half_until_eight_in_ten_are_gone() -> None:
    lines = [stayed(pk, 10 * pk, here=True, station=50) for pk in range(1, 8)]
    figure = found(books(*lines), Extra(usual=Measured(orders=15, running=7, median=42.0)))["time-old-here"]
    assert (figure.value, figure.behind) == (3, (7, 6, 5))
    assert figure.name == "Here longer than half took"
    assert "longer than 42.0 days, by which half" in figure.means
    assert "Eight in ten are not gone yet." in figure.means
    figure = found(books(*lines), Extra(usual=Measured(orders=15, running=10)))["time-old-here"]
    assert (figure.value, figure.k, figure.behind) == (None, None, (7, 6, 5, 4, 3))
    assert "not known yet" in figure.means


def test_weeks_are_whole_and_begin_where_the_first_order_left() -> None:
    """Friday 27 November 2026: the last whole week began on Monday the 16th."""
    edges = mondays(now=NOW, house=HOUSE)
    assert len(edges) == 53
    assert dt.date.fromordinal(edges[-1]) == dt.date(2026, 11, 23)
    pairs = [
        (moment(start), moment(end))
        for start, end in [
            ("2026-10-05T00:00", "2026-10-12T00:00"),
            ("2026-10-05T00:00", "2026-10-18T23:59"),
            ("2026-11-01T00:00", "2026-11-20T00:00"),
            ("2026-11-20T00:00", "2026-11-25T00:00"),
        ]
    ]
    weeks = weeks_of(pairs, now=NOW, house=HOUSE)
    assert [(dt.date.fromordinal(week.monday).isoformat(), week.left) for week in weeks] == [
        ("2026-10-12", 2), ("2026-10-19", 0), ("2026-10-26", 0), ("2026-11-02", 0), ("2026-11-09", 0), ("2026-11-16", 1),
    ]  # fmt: skip
    assert weeks[0].median == pytest.approx((7 + 13.99930) / 2, abs=1e-4)
    assert weeks[1].median is None


def test_what_a_signal_says() -> None:
    first = dt.date(2026, 6, 1).toordinal()
    values = [5.0, 4.0] * 6 + [7.0, 7.5] * 4
    weeks = [Week(first + 7 * place, 10, value) for place, value in enumerate(values)]
    said = signals_said(slowness(weeks), weeks, more="slower", less="quicker")
    assert "Slower than usual since the week of 24 Aug 2026: 8 in a row on one side." in said
    assert (
        "Quicker than usual from the week of 1 Jun 2026 to that of 17 Aug 2026: 12 in a row on one side."
        in said
    )
    assert signals_said(output(weeks), weeks, more="fuller", less="emptier") == []
    assert signals_said(None, [], more="", less="") == []
    far = [*weeks[:12], Week(first + 84, 10, 30.0)]
    assert any(
        line == "The week of 24 Aug 2026 was far slower than usual: outside the limits."
        for line in signals_said(slowness(far), far, more="slower", less="quicker")
    )


def test_drawings_say_what_the_tables_say() -> None:
    lines = [stayed(pk, 1 + pk % 7, at30=DAY, ours=DAY, theirs=DAY) for pk in range(1, 31)]
    weeks = tuple(Week(739_000 + 7 * place, 5, 4.0 + place % 2) for place in range(12))
    extra = Extra(weeks=weeks)
    curve = drawn.gone_by_day(books(*lines), extra)
    assert curve is not None
    assert "Half are gone by 4.0 days" in curve.desc
    assert drawn.stations(books(*lines), extra) is not None
    clocks = drawn.clocks(books(*lines), extra)
    assert clocks is not None
    assert "Ours: 50 %" in clocks.desc
    assert drawn.weeks_days(books(*lines), extra) is not None
    assert drawn.weeks_left(books(*lines), extra) is not None
    for draw in (drawn.gone_by_day, drawn.stations, drawn.clocks, drawn.weeks_days, drawn.weeks_left):
        assert draw(books(), NOTHING) is None
