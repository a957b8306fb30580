"""Hours that are missing or come twice, the last night of a year, 29 February, places far from Greenwich, clocks that jump.

The changes of the hour are those of the tz database (www.iana.org/time-zones).
"""

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from django.db import transaction

from intake import drain, house, letters
from intake.models import Letter, Letterhead
from intake.stations import Station
from quotes.proof import prove
from shop import clock, guard
from shop.books.recount import recount
from shop.models import BookReport, ClockMark
from tests import walk

pytestmark = pytest.mark.faults

# Zone and the night, by the clock on its wall.
NIGHTS = [
    ("America/New_York", dt.datetime(2026, 3, 8)),  # 02:30 is missing
    ("Europe/Berlin", dt.datetime(2026, 10, 25)),  # 02:30 comes twice
    ("Australia/Lord_Howe", dt.datetime(2026, 4, 5)),  # half an hour comes twice
    ("Pacific/Kiritimati", dt.datetime(2026, 12, 31)),  # UTC+14, the last night of a year
    ("Pacific/Pago_Pago", dt.datetime(2028, 2, 29)),  # UTC-11, 29 February
]


@pytest.mark.parametrize(("zone", "day"), NIGHTS, ids=[zone for zone, _ in NIGHTS])
def test_odd_night_does_each_work_once_and_keeps_promises(bench, client, zone, day):
    Letterhead.objects.update(zone=zone)
    house.forget_house()
    guard.forget_zone()
    evening = day.replace(hour=22, tzinfo=ZoneInfo(zone)).astimezone(dt.UTC) - dt.timedelta(days=1)
    order = walk.to(walk.request(at=evening), Station.GO_AHEAD, by=bench.technician, at=evening)
    gone = walk.to(walk.request(at=evening), Station.HOME, by=bench.technician, at=evening)
    quote = order.quotes.get()
    assert quote.valid_until - quote.sent_at >= dt.timedelta(days=1) - dt.timedelta(hours=1)
    for half_hours in range(3, 15):
        clock.tick(at=evening + dt.timedelta(minutes=30 * half_hours))
    late = quote.valid_until + dt.timedelta(seconds=1)
    for minutes in (0, 1, 60, 90, 150):
        clock.tick(at=late + dt.timedelta(minutes=minutes))
    kinds = list(order.letters.values_list("kind", flat=True))
    assert kinds.count("quote_lapsed") == 1
    assert len(Letter.objects.values_list("key", flat=True)) == len(
        set(Letter.objects.values_list("key", flat=True))
    )
    months = list(BookReport.objects.values_list("month", flat=True))
    assert len(months) == len(set(months))
    assert not ClockMark.objects.exclude(fault="").exists()
    assert gone.letters.exists() and prove() == [] and recount().faults == []
    client.force_login(bench.owner)
    for page in ("/bench/", "/books/", f"/sheet/{order.code}/"):
        assert client.get(page, follow=True).status_code == 200


@pytest.fixture
def letter(bench, at):
    order = walk.request(at=at, email="")
    with transaction.atomic():
        return letters.post(
            order=order, kind="withdrawn", key="jump", to="mara.ellwick@example.com", context={}, at=at
        )


@pytest.mark.parametrize("hours", [2, -2])
def test_clock_that_jumps_while_a_letter_is_under_way_doubles_nothing(
    letter, at, monkeypatch, mailoutbox, hours
):
    """The clock jumps while the server has the letter; meanwhile another drainer looks for work by the new clock."""
    clocks = [at + dt.timedelta(minutes=1)]
    monkeypatch.setattr(drain, "now", lambda: clocks[0])
    said = drain._speak_to_server
    taken = []

    def jump(mail):
        monkeypatch.setattr(drain, "_speak_to_server", said)
        clocks[0] += dt.timedelta(hours=hours)
        taken.append(drain.drain())
        return said(mail)

    monkeypatch.setattr(drain, "_speak_to_server", jump)
    drain.drain()
    letter.refresh_from_db()
    results = list(letter.attempts.order_by("number").values_list("result", flat=True))
    assert letter.state == "sent"
    if hours > 0:
        # The lease had run out by the new clock: sent again, with the reason, and the first one's end changes nothing.
        assert (taken, results, len(mailoutbox)) == ([1], ["unsure", "accepted"], 2)
        assert sorted("once more" in mail.body for mail in mailoutbox) == [False, True]
        assert len({mail.extra_headers["Message-ID"] for mail in mailoutbox}) == 1
    else:
        assert (taken, results, len(mailoutbox)) == ([0], ["accepted"], 1)
    assert drain.drain(at=at + dt.timedelta(hours=6)) == 0, "nothing is sent a further time"


def test_clock_that_is_put_back_delays_a_letter_and_loses_none(letter, at, mailoutbox):
    ahead = at + dt.timedelta(hours=2)
    Letter.objects.filter(pk=letter.pk).update(
        state="claimed", claim="x" * 32, lease_until=ahead + drain.LEASE, tries=1
    )
    letter.attempts.create(number=1, started_at=ahead)
    assert drain.drain(at=at) == 0
    assert drain.drain(at=ahead + drain.LEASE + dt.timedelta(seconds=1)) == 1
    letter.refresh_from_db()
    assert (letter.state, len(mailoutbox)) == ("sent", 1)
