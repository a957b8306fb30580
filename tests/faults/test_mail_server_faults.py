"""What each fault of a mail server means for a letter: later, never, or unsure."""

import datetime as dt
import socket
import time

import pytest
from django.db import transaction

from intake import drain, letters
from intake.models import Letter
from tests import walk
from tests.faults.mail_server import mail_server, text_of

pytestmark = [pytest.mark.faults, pytest.mark.usefixtures("bench")]


@pytest.fixture
def letter(bench, at, settings):
    order = walk.request(at=at, email="")
    with transaction.atomic():
        written = letters.post(
            order=order, kind="withdrawn", key="one", to="mara.ellwick@example.com", context={}, at=at
        )
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_TIMEOUT = "127.0.0.1", 5
    return written


def try_now(letter: Letter, settings, at: dt.datetime, post=None) -> Letter:
    if post is not None:
        settings.EMAIL_PORT = post.port
    drain.drain(at=at)
    letter.refresh_from_db()
    return letter


def results(letter: Letter) -> list[str]:
    return list(letter.attempts.values_list("result", flat=True))


def test_letter_to_a_server_that_takes_it_is_sent(letter, settings, at):
    with mail_server() as post:
        try_now(letter, settings, at, post)
    assert (letter.state, letter.sent_at, results(letter)) == ("sent", at, ["accepted"])
    [(to, mail)] = post.mails
    assert (to, mail["Message-ID"]) == (letter.to, letter.message_id)
    assert "/l/" in text_of(mail)


def test_letter_without_a_server_waits_and_goes_later(letter, settings, at):
    with mail_server() as gone:
        settings.EMAIL_PORT = gone.port
    try_now(letter, settings, at)
    assert (letter.state, results(letter)) == ("pending", ["later"])
    assert letter.last_error.startswith("No mail server: ConnectionRefusedError")
    assert at < letter.next_at <= at + dt.timedelta(minutes=1)
    with mail_server() as post:
        try_now(letter, settings, letter.next_at, post)
    assert letter.state == "sent"
    assert "once more" not in text_of(post.mails[0][1]), "a server that was away has seen nothing"


@pytest.mark.parametrize(
    ("behaviour", "state", "result"),
    [
        ({"on_recipient": "450 busy"}, "pending", "later"),
        ({"on_recipient": "550 nobody here"}, "dead", "refused"),
        ({"on_data": "451 come back"}, "pending", "later"),
        ({"on_data": "421 closing"}, "pending", "later"),
        ({"on_data": "554 no such letters"}, "dead", "refused"),
    ],
    ids=lambda value: "-".join(map(str, value.values())) if isinstance(value, dict) else value,
)
def test_answer_of_the_server_decides(letter, settings, at, behaviour, state, result):
    with mail_server(**behaviour) as post:
        try_now(letter, settings, at, post)
    assert (letter.state, results(letter), post.mails) == (state, [result], [])
    assert next(iter(behaviour.values())).split()[0] in letter.last_error


@pytest.mark.parametrize(("unsure", "state"), [("resend", "pending"), ("hold", "held")])
def test_line_that_breaks_after_the_text_leaves_it_unsure(letter, settings, at, unsure, state):
    Letter.objects.update(unsure=unsure)
    with mail_server(drop_after_data=True) as post:
        try_now(letter, settings, at, post)
        assert (letter.state, results(letter)) == (state, ["unsure"])
        post.drop_after_data = False
        try_now(letter, settings, at + dt.timedelta(hours=1), post)
    copies = [mail for _, mail in post.mails]
    if unsure == "hold":
        assert len(copies) == 1
        return
    assert len(copies) == 2
    assert copies[0]["Message-ID"] == copies[1]["Message-ID"]
    assert copies[0]["Date"] == copies[1]["Date"]
    assert "once more" not in text_of(copies[0])
    assert text_of(copies[1]).startswith(
        "An earlier try may have arrived; the mail server did not say. This is the same letter once more."
    )


def test_server_that_is_slow_to_answer_leaves_it_unsure(letter, settings, at):
    settings.EMAIL_TIMEOUT = 0.3
    with mail_server(pause=1.0) as post:
        began = time.monotonic()
        try_now(letter, settings, at, post)
    assert time.monotonic() - began < 5
    assert (letter.state, results(letter)) == ("pending", ["unsure"])
    assert len(post.mails) == 1


def test_server_that_never_greets_frees_the_drainer_in_time(letter, settings, at):
    settings.EMAIL_TIMEOUT = 0.3
    with socket.socket() as silent:
        silent.bind(("127.0.0.1", 0))
        silent.listen()
        settings.EMAIL_PORT = silent.getsockname()[1]
        began = time.monotonic()
        try_now(letter, settings, at)
    assert time.monotonic() - began < 5
    assert (letter.state, results(letter)) == ("pending", ["later"]), "it has seen nothing of the letter"


def test_letter_that_cannot_go_for_three_days_is_put_before_a_person(letter, settings, at):
    with mail_server(on_recipient="450 busy") as post:
        moment = at
        while letter.state == "pending" and letter.tries < 200:
            try_now(letter, settings, moment, post)
            moment = letter.next_at
    assert letter.state == "dead"
    assert dt.timedelta(days=3) <= moment - at <= dt.timedelta(days=3, hours=2)
    assert letter.tries < 100, "the pauses grow up to an hour"
