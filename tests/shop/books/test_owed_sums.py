"""Sums of money owed, stock, devices and the trade on hand-made lines."""

import datetime as dt
import zoneinfo
from dataclasses import replace
from typing import Any

import pytest

from shop.books.figures import Figure, Table
from shop.books.lines import DAY_SECONDS, Books, House, Line, Window
from shop.books.owed import money_maths, stock_maths, sums, trade_maths
from shop.books.owed.making import half_up
from shop.books.owed.shapes import (
    Bill,
    Counted,
    DepositAsked,
    Disputed,
    Extra,
    PartRow,
    Taxed,
    TradeBill,
    Waiting,
    quarter_of,
)

ZONE = zoneinfo.ZoneInfo("America/New_York")
HOUSE = House("USD", 2, ZONE, 700_000)
NOON = int(dt.datetime(2026, 2, 27, 12, 0, tzinfo=ZONE).timestamp())
TODAY = dt.date(2026, 2, 27).toordinal()
MONTH = Window("month", "Last 30 days", NOON - 30 * DAY_SECONDS, NOON + 1)


def books(*lines: Line, window: Window = MONTH) -> Books:
    return Books(HOUSE, NOON, window, lines)


def figure(key: str, shelf: Books, extra: Extra) -> Figure:
    return next(found for found in sums.figures(shelf, extra) if found.key == key)


def table(key: str, shelf: Books, extra: Extra) -> Table:
    return next(found for found in sums.tables(shelf, extra) if found.key == key)


def part(**given: Any) -> PartRow:
    usual = {"number": "P", "name": "Part", "bin": "A", "on_hand": 10, "reserved": 0, "reorder_at": 0, "stopped": 0,
             "used": 0, "moved": NOON, "worth": 1000}  # fmt: skip
    return PartRow(**{**usual, **given})


@pytest.mark.parametrize(
    ("late", "age"), [(-3, 0), (0, 0), (1, 1), (30, 1), (31, 2), (60, 2), (61, 3), (400, 3)]
)
def test_age_counts_from_the_day_after_it_was_due(late: int, age: int) -> None:
    assert money_maths.age_of(TODAY - late, TODAY) == age


def test_bills_fall_into_ages_and_the_ages_make_the_sum() -> None:
    bills = [
        Bill(order, f"INV-{order}", TODAY - late, 100 * order)
        for order, late in ((1, -5), (2, 5), (3, 45), (4, 90))
    ]
    extra = Extra(bills=(*bills, Bill(5, "", TODAY, -700)), held={6: 55}, refunds={5: 600})
    shelf = books(*(Line(order, customer=9, balance=1) for order in range(1, 7)))
    found = {each.key: each for each in sums.figures(shelf, extra)}
    assert [found[key].value for key in money_maths.KEYS] == [100, 200, 300, 400]
    assert (found["owed-outstanding"].value, found["owed-overdue"].value) == (1000, 900)
    assert found["owed-overdue"].behind == (2, 3, 4)
    assert (found["owed-week"].value, found["owed-disputed"].value, found["owed-refunds"].value) == (
        100,
        55,
        600,
    )
    assert table("owed-ages", shelf, extra).sums == ("", 4, 4, 1000)
    (customer,) = table("owed-customers", shelf, extra).rows
    assert customer == (9, 1000, 100, 200, 300, 400, 55, 600, 0)
    rows = table("owed-orders", shelf, extra).rows
    assert [row[0] for row in rows] == [4, 3, 2, 1, 5, 6]
    assert rows[0] == (4, 9, TODAY - 90, 90, 400, 0, 0, 0)
    assert [row[2] for row in table("owed-journal", shelf, extra).rows] == [1000, -700, 300, 55, 0]


def test_a_sum_of_money_is_never_pale() -> None:
    extra = Extra(bills=(Bill(1, "INV-1", TODAY, 100),))
    assert not figure("owed-outstanding", books(Line(1, balance=100)), extra).few


def test_deposits_held_and_still_to_come() -> None:
    extra = Extra(deposits_asked=(DepositAsked(2, 1500),), uneven=(Line(3, deposit=400),))
    shelf = books(Line(1, deposit=3000), Line(2))
    assert figure("owed-deposits", shelf, extra).value == 3400
    assert figure("owed-deposits", shelf, extra).behind == (1, 3)
    assert figure("owed-deposits-asked", shelf, extra).value == 1500


def test_what_stands_now_is_not_said_of_a_window_that_is_over() -> None:
    past = Window("month", "before", MONTH.since - 30 * DAY_SECONDS, MONTH.since)
    extra = Extra(bills=(Bill(1, "INV-1", TODAY, 100),), parts=(part(),))
    keys = {each.key for each in sums.figures(books(Line(1, balance=100), window=past), extra)}
    assert keys == {"owed-tax", "owed-stock-lost", "owed-stock-outs", "owed-trade-days", "owed-disputes"}


def test_keys_are_unique_and_begin_alike() -> None:
    keys = [each.key for each in sums.figures(books(), Extra())]
    names = [each.key for each in sums.tables(books(), Extra())]
    assert len(set(keys)) == len(keys)
    assert len(set(names)) == len(names)
    assert all(key.startswith("owed-") for key in (*keys, *names))


def test_tax_counts_by_the_day_of_issue_and_credit_notes_take_off() -> None:
    january, february = NOON - 28 * DAY_SECONDS, NOON - DAY_SECONDS
    taxes = (
        Taxed(1, january, "Anytown", "S 8", 1000, 80),
        Taxed(1, february, "Anytown", "S 8", -1000, -80),
        Taxed(2, february, "Anytown", "S 8", 500, 40),
        Taxed(3, february, "Anytown", "Z 0", 900, 0),
        Taxed(4, MONTH.since - 1, "Anytown", "S 8", 100, 8),
    )
    extra = Extra(taxes=taxes)
    assert figure("owed-tax", books(), extra).value == 40
    assert figure("owed-tax", books(), extra).behind == (1, 2, 3)
    assert table("owed-tax-months", books(), extra).rows == [
        ("2026-01", "Anytown", "S 8", 1, 1000, 80),
        ("2026-02", "Anytown", "S 8", 2, -500, -40),
        ("2026-02", "Anytown", "Z 0", 1, 900, 0),
    ]
    assert [row[:1] for row in table("owed-tax-quarters", books(), extra).rows] == [
        ("2026 Q1",),
        ("2026 Q1",),
    ]
    assert [quarter_of(f"2026-{month:02d}")[-1] for month in range(1, 13)] == list("111222333444")


def test_tax_further_back_than_it_is_read_says_so() -> None:
    means = figure("owed-tax", books(), Extra(since=MONTH.since + 1)).means
    assert "Two years back at most" in means
    assert "Two years" not in figure("owed-tax", books(), Extra(since=MONTH.since)).means


def test_stock_at_risk_is_what_is_stopped_and_more_than_a_year_of_use() -> None:
    assert stock_maths.risks(part(stopped=3)) == [(stock_maths.STOPPED, 3)]
    # Three in 180 days are seven in a year, rounded up.
    assert stock_maths.risks(part(used=3)) == [(stock_maths.TOO_MANY, 3)]
    assert stock_maths.risks(part(used=3, stopped=2)) == [(stock_maths.STOPPED, 2), (stock_maths.TOO_MANY, 1)]
    assert stock_maths.risks(part()) == []


def test_stock_is_worth_what_its_bins_are_worth() -> None:
    parts = (
        part(number="A", reserved=4),
        part(number="B", bin="B", worth=333, on_hand=3, stopped=1, reorder_at=5),
        part(number="C", on_hand=0, worth=0, reorder_at=2),
        part(number="D", bin="B", worth=50, moved=NOON - 181 * DAY_SECONDS),
        part(number="E", bin="B", worth=70, moved=NOON - 179 * DAY_SECONDS),
    )
    extra = Extra(parts=parts)
    found = {each.key: each.value for each in sums.figures(books(), extra)}
    assert (found["owed-stock"], found["owed-stock-aside"]) == (1453, 400)
    assert (found["owed-stock-risk"], found["owed-stock-dead"]) == (111, 50)
    bins = table("owed-bins", books(), extra)
    assert bins.rows == [("A", 1, 10, 4, 400, 1000), ("B", 3, 23, 0, 0, 453)]
    assert bins.sums == ("", 4, 33, 4, 400, 1453)
    assert [row[0] for row in table("owed-dead", books(), extra).rows] == ["D"]
    assert [row[0] for row in table("owed-low", books(), extra).rows] == ["B", "C"]


def test_counts_of_the_window_are_a_loss_less_what_was_found() -> None:
    counted = (
        Counted("A", NOON, -2, -500, "torn"),
        Counted("B", NOON, 1, 120, "under the tray"),
        Counted("C", MONTH.since - 1, -9, -900, "before"),
    )
    lost = figure("owed-stock-lost", books(), Extra(counted=counted))
    assert (lost.value, lost.n, lost.counts) == (380, 2, "count")
    assert table("owed-counted", books(), Extra(counted=counted)).sums == ("", "", "", -1, 380)


def test_devices_in_the_building_by_value() -> None:
    lines = [Line(pk, arrived=1, declared=100 * pk) for pk in range(13)]
    shelf = books(*lines, Line(99, arrived=1, left=2, declared=10**6))
    assert figure("owed-declared", shelf, Extra()).value == 100 * sum(range(13))
    assert figure("owed-undeclared", shelf, Extra()).behind == (0,)
    rows = table("owed-building", shelf, Extra()).rows
    assert [row[0] for row in rows] == list(range(12, 2, -1))


def waits(order: int, days: int, *, pay_first: bool = False) -> Waiting:
    return Waiting(order, NOON - days * DAY_SECONDS, pay_first, (NOON - DAY_SECONDS,))


def test_device_waits_too_long_after_the_days_of_storage() -> None:
    shelf = books(*(Line(pk, arrived=1, trade=pk == 4) for pk in range(1, 7)))
    rows = (
        waits(1, 31),
        waits(2, 30),
        waits(3, 40, pay_first=True),
        waits(4, 40, pay_first=True),
        waits(5, 50, pay_first=True),
    )
    extra = Extra(
        waiting=rows, bills=(Bill(3, "I", TODAY, 1200), Bill(4, "J", TODAY, 5), Bill(1, "K", TODAY, 7))
    )
    # 2 is kept free to this day; 4 goes on account; 5 owes nothing, so the shop itself has not sent it.
    assert figure("owed-unclaimed", shelf, extra).behind == (3, 1)
    assert table("owed-unclaimed", shelf, extra).rows == [
        (3, 0, 40, 1200, 0, 1, TODAY - 1),
        (1, 0, 31, 7, 0, 1, TODAY - 1),
    ]
    assert figure("owed-unclaimed", shelf, replace(extra, storage_days=60)).value == 0
    assert "local law" in table("owed-unclaimed", shelf, extra).means


def test_work_ahead_counts_what_is_agreed_and_not_begun() -> None:
    agreed = Line(1, arrived=1, answer="accepted", station=60, quoted_minutes=90)
    shelf = books(
        agreed,
        agreed._replace(order=2, repair=5),
        agreed._replace(order=3, answer="waiting", station=50),
        agreed._replace(order=4, left=NOON),
        agreed._replace(order=5, quoted_minutes=30),
    )
    ahead = figure("owed-work-ahead", shelf, Extra(worked=2000, open_days=20))
    assert (ahead.value, ahead.behind) == (pytest.approx(1.2), (1, 5))
    assert figure("owed-work-ahead", shelf, Extra()).value is None
    assert table("owed-ahead", shelf, Extra()).sums[-1] == 120


def test_stock_outs_are_of_orders_agreed_to_in_the_window() -> None:
    line = Line(1, answer="accepted", answered=NOON, needs_part=True)
    shelf = books(
        line._replace(part_wait=0),
        line._replace(order=2, part_wait=9000, left=NOON),
        line._replace(order=3),
        line._replace(order=4, needs_part=False),
        line._replace(order=5, answer="declined", part_wait=5),
        line._replace(order=6, answered=MONTH.since - 1, part_wait=5),
    )
    outs = figure("owed-stock-outs", shelf, Extra())
    assert (outs.k, outs.n, outs.behind) == (2, 3, (1, 2))
    # Wilson, 95 %, of 2 in 3.
    assert (outs.low, outs.high) == (pytest.approx(0.2077, abs=1e-4), pytest.approx(0.9385, abs=1e-4))


def test_rate_of_few_boards_is_drawn_towards_that_of_all() -> None:
    assert trade_maths.shrunk(0, 0, 0.2) == pytest.approx(0.2)
    assert trade_maths.shrunk(4, 20, 0.1) == pytest.approx(0.15)
    # The mean of a beta-binomial: prior Beta(20 p, 20 (1 - p)) and k of n.
    k, n, p = 3, 7, 0.12
    a, b = 20 * p + k, 20 * (1 - p) + n - k
    assert trade_maths.shrunk(k, n, p) == pytest.approx(a / (a + b))


def test_trade_customer_by_boards_margin_and_days_to_pay() -> None:
    gone = Line(1, customer=7, trade=True, arrived=1, left=NOON, outcome="fixed", billed=1000, parts=100)
    shelf = books(
        gone,
        gone._replace(order=2, outcome="no fix", billed=0, bench=101),
        gone._replace(order=3, customer=8, trade=False),
        gone._replace(order=4, left=0),
    )
    day = DAY_SECONDS
    bills = (
        TradeBill(1, 7, NOON - 20 * day, NOON - 10 * day),
        TradeBill(2, 7, NOON - 19 * day, 0),
        TradeBill(4, 7, NOON - 9 * day, NOON - 8 * day),
    )
    extra = Extra(trade_bills=bills, bills=(Bill(2, "INV-2", TODAY, 50),))
    (row,) = table("owed-trade", shelf, extra).rows
    assert row[:4] == (7, 2, 2, 1)
    assert row[4] == pytest.approx((1 + 20 / 3) / 22)
    assert row[7:] == (half_up(900 - 201, 2), 1, 10.0)
    days = figure("owed-trade-days", shelf, extra)
    assert (days.value, days.n, days.behind) == (10.0, 3, (1, 2, 4))


def test_a_bill_settled_without_a_payment_says_nothing_of_days() -> None:
    bills = (TradeBill(1, 7, NOON - 20 * DAY_SECONDS, 0),)
    assert figure("owed-trade-days", books(), Extra(trade_bills=bills)).n == 0


def test_disputes_by_the_month_that_was_paid() -> None:
    january = NOON - 28 * DAY_SECONDS
    disputes = (
        Disputed(1, january, 500, "won", 0),
        Disputed(2, january, 500, "lost", 0),
        Disputed(3, NOON, 700, "", TODAY + 4),
        Disputed(4, MONTH.since - 400 * DAY_SECONDS, 30, "", 0),
    )
    extra = Extra(disputes=disputes, paid_orders={"2026-01": 20, "2026-02": 30}, paid_in=50)
    rate = figure("owed-disputes", books(), extra)
    assert (rate.k, rate.n, rate.behind) == (3, 50, (1, 2, 3))
    assert table("owed-disputes", books(), extra).rows == [
        ("2024-12", 0, 1, 0, 0, 1),
        ("2026-01", 20, 2, 1, 1, 0),
        ("2026-02", 30, 1, 0, 0, 1),
    ]
    assert table("owed-held", books(), extra).rows == [(3, TODAY + 4, 700), (4, 0, 30)]


def test_half_is_rounded_up() -> None:
    assert [half_up(amount, 2) for amount in (1, 3, -1, -3, 4)] == [1, 2, 0, -1, 2]
