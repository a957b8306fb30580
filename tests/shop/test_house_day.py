"""The letter of the day: once, in the morning of the shop's own zone, with the head of the history in it."""

import datetime as dt

import pytest
from django.core.management import call_command

from intake import heads
from intake.models import Letter, Letterhead
from intake.stations import Station
from shop import clock, house_day
from tests import walk


@pytest.fixture
def zone(bench):
    """Five in the morning and six, an hour behind UTC all year round."""
    Letterhead.objects.update(zone="Etc/GMT+1")
    return dt.datetime(2026, 2, 3, 6, 59, tzinfo=dt.UTC), dt.datetime(2026, 2, 3, 7, 0, tzinfo=dt.UTC)


def test_letter_of_the_day_comes_once_from_six_in_the_morning(zone):
    before, six = zone
    assert [house_day.post_due(moment) for moment in (before, six, six, six + dt.timedelta(hours=16))] == [
        0,
        1,
        0,
        0,
    ]
    assert house_day.post_due(six + dt.timedelta(days=1)) == 1
    assert list(Letter.objects.values_list("key", flat=True)) == [
        "house_day:2026-02-03",
        "house_day:2026-02-04",
    ]


def test_letter_carries_the_head_that_the_command_takes(zone, bench, at, capsys):
    walk.to(walk.request(at=at), Station.HOME, by=bench.technician, at=at)
    head = heads.newest()
    house_day.post_due(zone[1])
    letter = Letter.objects.get(kind="house_day")
    assert letter.to == Letterhead.current().email and letter.link is None
    assert str(head) in letter.text.splitlines()
    assert f"has {head.seq} entries" in letter.text
    assert "1 parcel taken in, 1 order finished" in letter.text
    call_command("verify_history", head=str(head))
    assert "as the letter says it" in capsys.readouterr().out


def test_letter_counts_what_is_stuck(zone, bench, at):
    walk.request(at=at)
    Letter.objects.update(state=Letter.State.DEAD)
    house_day.post_due(zone[1])
    assert "1 letter could not be sent and waits for you" in Letter.objects.get(kind="house_day").text


def test_shop_without_a_letterhead_writes_no_letter(db, at):
    assert house_day.post_due(at) == 0


def test_clock_does_it(zone):
    assert clock.tick_long(at=zone[1])["house_day"] == 1
