"""The clock: reminders once each, after a long sleep only the newest, a lapse once, old drafts gone."""

from datetime import timedelta

import pytest
from django.contrib.sessions.models import Session

from intake.models import Draft
from intake.stations import Station
from quotes import offers
from quotes.models import QuoteEnd
from shop import clock
from tests import walk


@pytest.fixture
def order(bench, at):
    return walk.to(walk.request(at=at), Station.GO_AHEAD, by=bench.technician, at=at)


@pytest.fixture
def days(order):
    return sorted(order.quotes.get().rates.reminder_days)


def reminders(order):
    return order.letters.filter(kind="quote_reminder").count()


def test_each_reminder_goes_once_on_its_day(order, at, days):
    assert clock.tick(at=at)["reminders"] == 0
    for number, day in enumerate(days, start=1):
        just_before = at + timedelta(days=day) - timedelta(seconds=1)
        assert clock.tick(at=just_before)["reminders"] == 0
        for _ in range(3):
            clock.tick(at=at + timedelta(days=day))
        assert reminders(order) == number


def test_after_a_long_sleep_only_the_newest_reminder_goes(order, at, days):
    assert len(days) > 1
    clock.tick(at=at + timedelta(days=days[-1], hours=5))
    clock.tick(at=at + timedelta(days=days[-1], hours=6))
    assert reminders(order) == 1


def test_quote_lapses_once_and_is_not_reminded_of_any_more(order, at):
    quote = order.quotes.get()
    assert clock.tick(at=quote.valid_until)["lapsed"] == 0
    later = quote.valid_until + timedelta(seconds=1)
    assert [clock.tick(at=later)["lapsed"] for _ in range(3)] == [1, 0, 0]
    assert quote.end.why == QuoteEnd.Why.LAPSED
    assert order.letters.filter(kind="quote_lapsed").count() == 1
    before = reminders(order)
    clock.tick(at=later + timedelta(days=90))
    assert reminders(order) == before


def test_an_answered_quote_is_left_alone(order, at, days):
    walk.answer(order, at=at)
    clock.tick(at=at + timedelta(days=400))
    assert reminders(order) == 0 and order.quotes.get().end.why == QuoteEnd.Why.DECIDED


def test_a_quote_being_rewritten_is_neither_reminded_of_nor_lapsed(order, bench, at):
    offers.reopen(order=order, seen_version=order.version, by=bench.technician, at=at)
    assert clock.tick(at=at + timedelta(days=400))["lapsed"] == 0
    assert reminders(order) == 0


@pytest.mark.parametrize(("past", "dropped"), [(timedelta(0), 0), (timedelta(seconds=1), 1)])
def test_only_a_draft_past_its_day_is_dropped(db, at, past, dropped):
    Draft.objects.create(
        digest="d", form_key="f", started_at=at, changed_at=at, expires_at=at + timedelta(days=30)
    )
    assert clock.tick(at=at + timedelta(days=30) + past)["drafts"] == dropped
    assert Draft.objects.count() == 1 - dropped


def test_night_clears_sessions_that_are_over_with_what_they_kept(bench, at, client):
    client.force_login(bench.owner)
    over = client.session
    over["kept_post"] = {"path": "/receiving/", "fields": [["words", "of somebody"]], "files": 0}
    over.save()
    Session.objects.update(expire_date=at - timedelta(seconds=1))
    client.cookies.clear()
    client.force_login(bench.technician)
    Session.objects.exclude(pk=over.session_key).update(expire_date=at + timedelta(days=7))
    clock._let_go(at)
    assert Session.objects.get().pk == client.session.session_key
