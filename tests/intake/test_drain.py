"""The drainer's own bookkeeping: claims, leases, second tries, what a person may do. Faults of servers: tests/faults."""

import datetime as dt

import pytest
from django.core import mail
from django.db import transaction

from intake import drain, letters
from intake.models import Letter, LetterTry
from intake.paper_files import PaperMissing
from tests import walk

pytestmark = pytest.mark.usefixtures("bench")


def write(order, key, at, **more):
    with transaction.atomic():
        return letters.post(
            order=order,
            kind="withdrawn",
            key=key,
            to="mara.ellwick@example.com",
            context={},
            at=at,
            **more,
        )


@pytest.fixture
def order(bench, at):
    return walk.request(at=at, email="")


@pytest.fixture
def letter(order, at):
    return write(order, "one", at)


def again(letter):
    letter.refresh_from_db()
    return letter


def test_drain_sends_what_is_due_in_order_and_once(order, at):
    written = [write(order, str(number), at + dt.timedelta(minutes=number)) for number in range(3)]
    assert drain.drain(at=at + dt.timedelta(minutes=1)) == 2
    assert [each.extra_headers["Message-ID"] for each in mail.outbox] == [
        each.message_id for each in written[:2]
    ]
    assert drain.drain(at=at + dt.timedelta(minutes=1)) == 0
    assert [again(each).state for each in written] == ["sent", "sent", "pending"]


def test_drain_stops_at_its_limit(order, at):
    for number in range(3):
        write(order, str(number), at)
    assert drain.drain(at=at, limit=2) == 2
    assert Letter.objects.filter(state="pending").count() == 1


def test_try_is_written_before_the_server_is_spoken_to(letter, at, monkeypatch):
    seen = []
    monkeypatch.setattr(
        drain,
        "_speak_to_server",
        lambda _: (seen.append(letter.attempts.get().result) or LetterTry.Result.ACCEPTED, "accepted"),
    )
    drain.drain(at=at)
    assert seen == ["open"]


def test_letter_somebody_else_has_is_left_alone_until_the_lease_runs_out(letter, at):
    taken = drain._claim(at)
    assert taken == letter
    assert drain.drain(at=at + drain.LEASE) == 0
    assert drain.drain(at=at + drain.LEASE + dt.timedelta(seconds=1)) == 1
    assert again(letter).state == "sent"
    assert list(letter.attempts.values_list("result", "why_again")) == [
        ("unsure", ""),
        ("accepted", "An earlier try was broken off and may have arrived."),
    ]
    assert mail.outbox[0].body.startswith("An earlier try was broken off and may have arrived.")


def test_one_who_comes_back_too_late_changes_nothing(letter, at):
    slow = drain._claim(at)
    later = at + dt.timedelta(minutes=5)
    drain.drain(at=later)
    drain._finish(slow, LetterTry.Result.REFUSED, "550 nobody", at=later)
    assert (again(letter).state, letter.last_error) == ("sent", "")
    assert list(letter.attempts.values_list("result", flat=True)) == ["unsure", "accepted"]


def test_letter_whose_paper_is_missing_waits_for_it(letter, at, monkeypatch):
    def missing(_):
        raise PaperMissing("The file of “Invoice” cannot be read.")

    monkeypatch.setattr(drain, "render", missing)
    drain.drain(at=at)
    assert again(letter).state == "pending"
    assert letter.last_error == "Could not be put together: The file of “Invoice” cannot be read."
    assert mail.outbox == []


def test_letter_that_cannot_be_put_together_stops_no_other(order, at, monkeypatch):
    first, second = write(order, "first", at), write(order, "second", at)
    whole = drain.render
    monkeypatch.setattr(drain, "render", lambda row: 1 / 0 if row == first else whole(row))
    assert drain.drain(at=at) == 2
    assert (again(first).state, again(second).state) == ("pending", "sent")
    assert first.last_error == "Could not be put together: ZeroDivisionError"


def test_mail_carries_text_html_link_and_no_mark(letter, at):
    drain.drain(at=at)
    [sent] = mail.outbox
    [(html, kind)] = [(part.content, part.mimetype) for part in sent.alternatives]
    assert kind == "text/html"
    for body in (sent.body, html):
        assert "http://localhost:8000/l/" in body
        assert "[[link]]" not in body
    assert sent.extra_headers["Auto-Submitted"] == "auto-generated"


@pytest.mark.parametrize("state", ["held", "dead"])
def test_person_sends_a_stuck_letter_again(letter, at, state):
    Letter.objects.update(state=state, last_error="550 nobody")
    assert drain.send_again(letter, by="wilma", at=at)
    assert letter.order.history.filter(what="letter sent again", who="wilma").count() == 1
    drain.drain(at=at)
    assert (again(letter).state, letter.last_error) == ("sent", "")
    assert mail.outbox[0].extra_headers["Message-ID"] == letter.message_id


def test_held_letter_sent_again_says_why(letter, at):
    Letter.objects.update(unsure="hold")
    drain._claim(at)
    drain.drain(at=at + dt.timedelta(minutes=5))
    assert (again(letter).state, mail.outbox) == ("held", [])
    drain.send_again(letter, by="wilma", at=at + dt.timedelta(minutes=6))
    drain.drain(at=at + dt.timedelta(minutes=6))
    assert "once more" in mail.outbox[0].body


def test_person_says_that_a_held_letter_arrived(letter, at):
    assert not drain.mark_arrived(letter, by="wilma", at=at)
    Letter.objects.update(state="held")
    assert drain.mark_arrived(letter, by="wilma", at=at)
    assert (again(letter).state, letter.sent_at) == ("sent", at)
    entry = letter.order.history.order_by("-seq").first()
    assert (entry.what, entry.who, entry.facts["letter"]) == ("letter marked as arrived", "wilma", letter.pk)


def test_sent_letter_is_not_sent_again(letter, at):
    drain.drain(at=at)
    assert not drain.send_again(letter, by="wilma", at=at)


def test_bell_rings_after_the_commit_and_a_broken_one_fails_nothing(
    order, at, django_capture_on_commit_callbacks
):
    rings = []
    try:
        drain.set_waker(lambda: rings.append(Letter.objects.count()))
        with django_capture_on_commit_callbacks(execute=True):
            write(order, "rung", at)
            assert rings == []
        assert rings == [1]
        drain.set_waker(lambda: 1 / 0)
        with django_capture_on_commit_callbacks(execute=True):
            write(order, "silent", at)
    finally:
        drain.set_waker(None)
    assert Letter.objects.count() == 2


def test_machine_that_slept_for_days_tries_on(letter, at, monkeypatch):
    monkeypatch.setattr(drain, "_speak_to_server", lambda mail: ("later", "450 try later"))
    drain.drain(at=at)
    woken = at + dt.timedelta(days=4)
    drain.drain(at=woken)
    assert again(letter).state == "pending"
    for hours in range(1, 74):
        drain.drain(at=woken + dt.timedelta(hours=1.5 * hours))
    assert (again(letter).state, letter.tried_since) == ("dead", woken)


def test_letter_sent_again_has_its_whole_time_anew(letter, at, monkeypatch):
    monkeypatch.setattr(drain, "_speak_to_server", lambda mail: ("later", "450 try later"))
    Letter.objects.update(
        state="dead", created_at=at - dt.timedelta(days=9), tried_since=at - dt.timedelta(days=9)
    )
    drain.send_again(letter, by="ansel", at=at)
    drain.drain(at=at)
    assert (again(letter).state, letter.tried_since) == ("pending", at)
