"""The day sheet: the order of the hands and its reasons, and a number of queries that stays."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils.timezone import localtime
from hypothesis import given, settings
from hypothesis import strategies as st

from intake import questions
from intake.append_only import arm, disarm
from intake.models import Letter, Order
from intake.stations import SlipReason, Station
from quotes import payments
from quotes.agreed import agreed_lines, agreed_quote
from quotes.models import Decision
from shop.bench import soaks, work
from shop.daysheet.order_of_work import Job, Waits, lay_out, place
from shop.daysheet.rows import day_sheet
from shop.models import DataCopy, TestRow
from tests import walk

NOW = datetime(2026, 2, 4, 10, 0, tzinfo=UTC)  # a Wednesday
MONDAY = datetime(2026, 2, 2, 9, 0, tzinfo=UTC)
# Sign-in 2, orders with people and devices 1, their slips 1, what is owed 2; what is usual, the soaks, the clocks that run, the
# copies that are due and the last count of the bags 1 each. The shop's name may cost one more a minute.
PAGE_QUERIES = 11


def job(code: str = "A", **changes: Any) -> Job:
    return replace(Job(code=code, station=Station.DIAGNOSIS, since=MONDAY, arrived=True), **changes)


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({}, "arrived Monday, not looked at"),
        ({"begun": True}, "being looked at since Monday"),
        ({"since": NOW - timedelta(hours=1)}, "arrived today, not looked at"),
        ({"since": NOW - timedelta(days=1)}, "arrived yesterday, not looked at"),
        ({"since": NOW - timedelta(days=9)}, "arrived Mon 26 January, not looked at"),
        ({"station": Station.QUOTE}, "fault found Monday, no quote sent"),
        ({"station": Station.REPAIR}, "agreed Monday, not begun"),
        ({"station": Station.REPAIR, "begun": True}, "repair begun"),
        ({"station": Station.TEST}, "mended, to be tested"),
        ({"station": Station.GOODS_OUT, "outcome": "fixed"}, "paid, to be packed"),
        ({"station": Station.GOODS_OUT, "outcome": "declined"}, "to go back as it is"),
        ({"station": Station.GOODS_OUT, "outcome": "recycled"}, "to be wiped and recycled"),
        (
            {"station": Station.WAY_HOME, "since": NOW - timedelta(days=22)},
            "on its way for 22 days: ask the carrier",
        ),
        ({"promise": date(2026, 2, 5)}, "promised tomorrow; arrived Monday, not looked at"),
        ({"promise": date(2026, 2, 4)}, "promised today; arrived Monday, not looked at"),
        (
            {"promise": date(2026, 2, 2)},
            "promised for Mon 2 February, 2 days over; arrived Monday, not looked at",
        ),
        ({"promise": date(2026, 2, 9)}, "promised for Mon 9 February; arrived Monday, not looked at"),
        (
            {"promise": date(2026, 2, 5), "station": Station.REPAIR, "begun": True, "left": 40},
            "promised tomorrow, 40 minutes of work left; repair begun",
        ),
        (
            {"promise": date(2026, 2, 4), "left": 1, "about": True},
            "promised today, about 1 minute of work left; arrived Monday, not looked at",
        ),
        (
            {"promise": date(2026, 2, 5), "station": Station.REPAIR, "left": 150},
            "promised tomorrow, 2 h 30 min of work left; agreed Monday, not begun",
        ),
        (
            {"promise": date(2026, 2, 3), "station": Station.REPAIR, "begun": True, "left": -12},
            "promised for Tue 3 February, 1 day over, 12 minutes over the plan; repair begun",
        ),
        ({"left": 40}, "arrived Monday, not looked at"),
        ({"question_since": NOW.replace(hour=9, minute=12)}, "question waiting since 09:12"),
        ({"question_since": MONDAY}, "question waiting since Mon 2 February"),
        ({"letter_stuck": True}, "letter could not be sent"),
        ({"station": Station.GO_AHEAD, "quote_lapsed": True}, "quote lapsed"),
        ({"slips": frozenset({SlipReason.QUARANTINE})}, "battery in quarantine: look at it"),
        (
            {"slips": frozenset({SlipReason.QUARANTINE}), "question_since": MONDAY},
            "battery in quarantine: look at it; question waiting since Mon 2 February",
        ),
        (
            {"letter_stuck": True, "question_since": NOW.replace(hour=9, minute=12)},
            "letter could not be sent; question waiting since 09:12",
        ),
    ],
)
def test_reason_says_why_hands_are_needed(changes: dict[str, Any], reason: str) -> None:
    placed = place(job(**changes), now=NOW)
    assert placed is not None
    assert placed.reason == reason


def test_parcel_on_its_way_waits_with_the_post_for_three_weeks() -> None:
    [row] = lay_out([job(station=Station.WAY_HOME, since=NOW - timedelta(days=21))], now=NOW).waiting
    assert (row.waits, row.reason) == (Waits.POST, "on its way home")


@pytest.mark.parametrize(
    ("changes", "waits", "reason"),
    [
        ({"station": Station.GO_AHEAD}, Waits.CUSTOMER, "to answer the quote"),
        ({"station": Station.GOODS_OUT, "owes": True}, Waits.CUSTOMER, "to pay"),
        ({"station": Station.WAY_HOME}, Waits.POST, "on its way home"),
        ({"slips": frozenset({SlipReason.PART})}, Waits.PARTS, "for a part"),
        ({"slips": frozenset({SlipReason.WRONG_DEVICE})}, Waits.CUSTOMER, "wrong device"),
        ({"slips": frozenset({SlipReason.LOST})}, Waits.POST, "lost in the post"),
    ],
)
def test_order_that_waits_says_for_whom(changes: dict[str, Any], waits: Waits, reason: str) -> None:
    sheet = lay_out([job(**changes)], now=NOW)
    assert sheet.hands == []
    assert [(row.waits, row.reason, row.days) for row in sheet.waiting] == [(waits, reason, 2)]


def test_order_of_the_hands() -> None:
    jobs = [
        job("later", promise=date(2026, 2, 20)),
        job("fresh", since=NOW),
        job("pack", station=Station.GOODS_OUT, promise=date(2026, 2, 20)),
        job("asks", question_since=NOW),
        job("tomorrow", promise=date(2026, 2, 5)),
        job("over", promise=date(2026, 2, 1)),
        job("swollen", slips=frozenset({SlipReason.QUARANTINE})),
        job("old"),
    ]
    hands = [placed.job.code for placed in lay_out(jobs, now=NOW).hands]
    assert hands == ["swollen", "over", "tomorrow", "asks", "pack", "old", "fresh", "later"]


def test_least_slack_comes_first_within_the_promise() -> None:
    jobs = [
        job("short", promise=date(2026, 2, 5), left=10),
        job("long", promise=date(2026, 2, 5), left=90, since=NOW),
        job("today", promise=date(2026, 2, 4), left=5),
        job("over the plan", promise=date(2026, 2, 5), left=-60, since=NOW),
        job("two days", promise=date(2026, 2, 5), left=1000),
    ]
    hands = [placed.job.code for placed in lay_out(jobs, now=NOW).hands]
    assert hands == ["two days", "today", "long", "short", "over the plan"]


def test_same_kind_in_hand_is_hinted_beside_the_first() -> None:
    alike = {"alike": "zarnikz7", "family": "Zarnik Z7"}
    jobs = [
        job("first", promise=date(2026, 2, 4), bag="B-01", **alike),
        job("second", bag="B-04", station=Station.REPAIR, **alike),
        job("third", station=Station.TEST, since=NOW, **alike),
        job("waits", bag="B-09", slips=frozenset({SlipReason.PART}), **alike),
        job("packed", bag="B-10", station=Station.GOODS_OUT, **alike),
        job("other", bag="B-11", alike="oblivu", family="Oblivu"),
        job("bare", bag="B-12"),
    ]
    hints = {placed.job.code: placed.hint for placed in lay_out(jobs, now=NOW).hands if placed.hint}
    assert hints == {"first": "2 more Zarnik Z7 in hand: B-04, third"}


def test_hint_names_five_and_counts_the_rest() -> None:
    jobs = [job(f"{number}", alike="z", family="Z", bag=f"B-{number:02d}") for number in range(9)]
    (hint,) = [placed.hint for placed in lay_out(jobs, now=NOW).hands if placed.hint]
    assert hint == "8 more Z in hand: B-01, B-02, B-03, B-04, B-05 and 3 more"


def test_waiting_is_grouped_by_whom_the_longest_first() -> None:
    jobs = [
        job("pay", station=Station.GOODS_OUT, owes=True, since=NOW - timedelta(days=1)),
        job("answer", station=Station.GO_AHEAD),
        job("part", slips=frozenset({SlipReason.PART}), slip_since=NOW - timedelta(days=5)),
        job("post", station=Station.WAY_HOME),
    ]
    groups = lay_out(jobs, now=NOW).by_whom
    assert [(waits, [row.job.code for row in rows]) for waits, rows in groups] == [
        (Waits.CUSTOMER, ["answer", "pay"]),
        (Waits.PARTS, ["part"]),
        (Waits.POST, ["post"]),
    ]
    assert groups[1][1][0].since == NOW - timedelta(days=5)


def test_parcels_not_here_are_only_counted() -> None:
    coming = job("coming", station=Station.GOODS_IN, arrived=False)
    sheet = lay_out([coming, replace(coming, code="post", posted=True), job("here")], now=NOW)
    assert (sheet.expected, len(sheet.hands), len(sheet.waiting), sheet.bags) == (2, 1, 0, 1)


def test_what_left_is_no_bag_on_the_shelf() -> None:
    assert lay_out([job(station=Station.WAY_HOME)], now=NOW).bags == 0


@settings(deadline=None)
@given(
    st.lists(
        st.builds(
            Job,
            code=st.text("ABC", min_size=1),
            station=st.sampled_from([station for station in Station if 20 <= station < 100]),
            since=st.datetimes(datetime(2025, 1, 1), datetime(2027, 1, 1), timezones=st.just(UTC)),
            promise=st.none() | st.dates(date(2025, 1, 1), date(2027, 1, 1)),
            arrived=st.booleans(),
            slips=st.frozensets(st.sampled_from(SlipReason), max_size=3),
            letter_stuck=st.booleans(),
            left=st.none() | st.integers(-600, 6000),
            alike=st.sampled_from(["", "z", "o"]),
            owes=st.booleans(),
        ),
        max_size=12,
    )
)
def test_every_open_order_is_in_exactly_one_place(jobs: list[Job]) -> None:
    sheet = lay_out(jobs, now=NOW)
    assert len(sheet.hands) + len(sheet.waiting) + sheet.expected == len(jobs)


@pytest.fixture
def desk(bench: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(bench.technician)
    return client


def test_page_without_orders_says_what_shows_here(desk: Client) -> None:
    assert "Nothing needs hands" in desk.get("/bench/").content.decode()


def test_rows_read_what_the_order_of_work_needs(bench: SimpleNamespace, at: datetime) -> None:
    by = bench.technician
    looked = walk.receive(walk.request(at=at), by=by, at=at)
    asked = walk.to(walk.request(at=at), Station.GO_AHEAD, by=by, at=at)
    owing = walk.to(walk.request(at=at), Station.GOODS_OUT, by=by, at=at)
    paid = walk.pay(walk.to(walk.request(at=at), Station.GOODS_OUT, by=by, at=at), by=by, at=at)
    sent = walk.to(walk.request(at=at), Station.WAY_HOME, by=by, at=at)
    coming, stuck = walk.request(at=at), walk.request(at=at)
    walk.to(walk.request(at=at), Station.HOME, by=by, at=at)
    questions.ask(order=asked, text="When?", form_key="q", at=at)
    Letter.objects.filter(order=stuck).update(state=Letter.State.DEAD)
    sheet, orders = day_sheet(at=at)
    assert {placed.job.code: placed.reason.split("; ")[-1] for placed in sheet.hands} == {
        looked.code: "arrived today, not looked at",
        asked.code: "question waiting since 09:00",
        paid.code: "paid, to be packed",
        stuck.code: "letter could not be sent",
    }
    assert {row.job.code: row.reason for row in sheet.waiting} == {
        owing.code: "to pay",
        sent.code: "on its way home",
    }
    assert (sheet.expected, sheet.bags) == (1, 4)
    assert coming.code in orders


def test_what_was_made_good_leaves_a_paid_bill_paid(bench: SimpleNamespace, at: datetime) -> None:
    order = walk.to(walk.request(at=at), Station.GOODS_OUT, by=bench.technician, at=at)
    walk.pay(order, by=bench.technician, at=at)
    payments.make_good(
        order=order, kind="cash", amount=Decimal(5), key="m", why="A scratch", by=bench.owner, at=at
    )
    sheet, _ = day_sheet(at=at)
    (placed,) = sheet.hands
    assert placed.reason.endswith("paid, to be packed")


def test_lapsed_quote_comes_back_to_the_hands(bench: SimpleNamespace, at: datetime) -> None:
    from shop.clock import tick

    order = walk.to(walk.request(at=at), Station.GO_AHEAD, by=bench.technician, at=at)
    late = at + timedelta(days=200)
    tick(at=late)
    sheet, _ = day_sheet(at=late)
    assert [(placed.job.code, placed.reason) for placed in sheet.hands] == [(order.code, "quote lapsed")]


@pytest.mark.parametrize("orders", [1, 3, 50])
def test_page_takes_as_many_queries_whatever_the_number_of_orders(
    desk: Client, bench: SimpleNamespace, at: datetime, orders: int
) -> None:
    desk.get("/bench/")
    for _ in range(orders):
        walk.receive(walk.request(at=at), by=bench.technician, at=at)
    with CaptureQueriesContext(connection) as seen:
        page = desk.get("/bench/").content.decode()
    assert page.count('class="run"') == orders == Order.objects.count()
    assert len(seen) == PAGE_QUERIES


def test_minutes_left_are_the_agreed_less_those_of_repair(bench: SimpleNamespace, at: datetime) -> None:
    order = walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)
    agreed = agreed_quote(order)
    assert agreed is not None
    planned = sum(line.minutes for line in agreed_lines(agreed.decision))
    assert planned > 0
    work.write_down(order=order, kind="repair", minutes=7, by=bench.technician, at=at)
    work.write_down(order=order, kind="look", minutes=50, by=bench.technician, at=at)
    sheet, _ = day_sheet(at=at)
    (placed,) = sheet.hands
    assert (placed.job.left, placed.job.about) == (planned - 7, False)


def test_soak_that_runs_says_when_it_ends(bench: SimpleNamespace, at: datetime) -> None:
    order = walk.to(walk.request(at=at), Station.TEST, by=bench.technician, at=at)
    row = TestRow.objects.filter(run__order=order, soak_minutes__gt=0).first()
    assert row is not None
    soaks.start(row=row, by=bench.technician, at=at)
    for later, said in ((10, "soak ends "), (60, "soak over since ")):
        (placed,) = day_sheet(at=at + timedelta(minutes=later))[0].hands
        ends = localtime(at + timedelta(minutes=row.soak_minutes))
        assert f"{said}{ends:%H:%M}" in placed.reason


def test_extras_that_were_taken_are_planned_too(bench: SimpleNamespace, at: datetime) -> None:
    """Beside `quotes.agreed.agreed_lines`, which reads the same in another way."""
    for extras in (["e1"], ["e1", "e11"], []):
        order = walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)
        agreed = agreed_quote(order)
        assert agreed is not None
        disarm(connection, "quotes_decision")
        Decision.objects.filter(pk=agreed.decision.pk).update(extras=extras)
        arm(connection, "quotes_decision")
        line = agreed.lines.filter(minutes__gt=0).first()
        assert line is not None
        for number, extra in enumerate(("e1", "e11", "e2"), start=50):
            line.pk, line.number, line.extra, line.minutes = None, number, extra, number
            line.save(force_insert=True)
        agreed = agreed_quote(order)
        assert agreed is not None
        _, orders = day_sheet(at=at)
        planned = orders[order.code].planned  # type: ignore[attr-defined]  # annotated
        assert planned == sum(line.minutes for line in agreed_lines(agreed.decision))


def test_first_come_forgotten_clocks_and_copies_that_are_due(
    desk: Client, bench: SimpleNamespace, at: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    order = walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)
    session = work.start(order=order, kind="repair", by=bench.technician, at=at)
    saved = walk.to(walk.request(at=at), Station.GOODS_OUT, by=bench.technician, at=at)
    for days, gone in ((5, None), (0, at), (-1, None)):
        DataCopy.objects.create(
            order=saved, key=f"c{days}", files=3, medium="Blue drive", listing="x", listing_sha256="x",
            delete_on=at.date() - timedelta(days=days), at=at, by=bench.owner, deleted_at=gone, deleted_how="x",
        )  # fmt: skip
    monkeypatch.setattr("intake.drain.now", lambda: at + timedelta(hours=5))
    page = desk.get("/bench/").content.decode()
    assert page.count("Delete the copy of the data") == 1 and "due Wed 28 January" in page
    assert f'href="/bench/minutes/{session.pk}/"' in page
    work.stop(by=bench.technician, at=at + timedelta(hours=5))
    assert "A clock still runs" not in desk.get("/bench/").content.decode()
