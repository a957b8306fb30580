"""While the database or the disk is away: a page that needs neither, says when to try again and keeps what was typed."""

import errno
import html
import re

import pytest
from django.contrib.sessions.backends.db import SessionStore
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import InterfaceError, OperationalError, connection
from django.test import Client
from django.urls import reverse

from intake import house
from shop import guard
from shop.running.away import is_away

STORY = "/request/story/"
TYPED = 'It fell into "tea" <b>&\n\tthen it hissed, ünd so on  '


@pytest.fixture
def stranger():
    return Client(raise_request_exception=False)


@pytest.fixture
def away():
    """Nothing that is asked of the database is answered."""

    def no(*_):
        raise OperationalError("server closed the connection unexpectedly")

    def put_away():
        return connection.execute_wrapper(no)

    return put_away


def hidden(page):
    found = re.findall(r'<input type="hidden" name="([^"]*)" value="([^"]*)">', page)
    return [(html.unescape(name), html.unescape(value)) for name, value in found]


@pytest.mark.parametrize("name", ["front", "request", "day_sheet", "sign_in"])
def test_page_without_a_database_says_so_kindly(stranger, letterhead, away, name):
    floor = "shop" if name in ("sign_in", "day_sheet") else "intake"
    stranger.cookies["session"] = "a-session-to-be-read"
    with away():
        answer = stranger.get(reverse(f"{floor}:{name}"))
    assert (answer.status_code, answer["Retry-After"]) == (503, "10")
    assert "closed for a moment" in answer.text
    assert "default-src 'none'" in answer["Content-Security-Policy"]
    assert answer["Cache-Control"] == "private, no-store"


def test_what_was_typed_is_on_the_page_letter_for_letter_and_goes_again(client, letterhead, away):
    fields = {"problem": TYPED, "several": ["one", "two"], "empty": "", "form_key": "k" * 32}
    with away():
        answer = client.post(STORY, fields)
    assert answer.status_code == 503
    assert hidden(answer.text) == [
        ("problem", TYPED),
        ("several", "one"),
        ("several", "two"),
        ("empty", ""),
        ("form_key", "k" * 32),
    ]
    assert f'action="{STORY}"' in answer.text
    assert "<dt>Problem</dt>" in answer.text
    assert "<dt>Form key</dt>" not in answer.text
    assert "<b>" not in answer.text


def test_secret_and_file_are_asked_for_again_and_never_shown(letterhead, away, owner, stranger):
    stranger.force_login(owner)
    photo = SimpleUploadedFile("board & tea.jpg", b"abc", content_type="image/jpeg")
    with away():
        answer = stranger.post(
            reverse("shop:sign_in"), {"username": "wilma", "password": "bench-light-on", "photo": photo}
        )
    assert answer.status_code == 503
    assert "bench-light-on" not in answer.text
    assert '<input type="password" name="password"' in answer.text
    assert "Please choose again: board &amp; tea.jpg" in answer.text
    assert 'enctype="multipart/form-data"' in answer.text


def test_fault_of_the_session_itself_is_told_the_same(stranger, letterhead, monkeypatch):
    def no(*_):
        raise OperationalError("database is locked")

    monkeypatch.setattr(SessionStore, "save", no)
    monkeypatch.setattr("django.contrib.sessions.middleware.SessionMiddleware.process_response", no)
    answer = stranger.post(STORY, {"problem": TYPED})
    assert answer.status_code == 503
    assert ("problem", TYPED) in hidden(answer.text)


def test_full_disk_keeps_the_text_too(client, letterhead, monkeypatch):
    def full(*_, **__):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("intake.views.visit.drafting.find", full)
    answer = client.post(STORY, {"problem": TYPED})
    assert answer.status_code == 503
    assert "disk takes nothing" in answer.text
    assert ("problem", TYPED) in hidden(answer.text)


def test_fault_of_our_own_stays_a_fault_of_our_own(stranger, letterhead, monkeypatch):
    def wrong(*_, **__):
        raise ZeroDivisionError

    monkeypatch.setattr("intake.views.front.render", wrong)
    answer = stranger.get("/")
    assert answer.status_code == 500
    assert "Something broke on our side" in answer.text


@pytest.mark.parametrize(
    ("fault", "away"),
    [
        (OperationalError("database is locked"), True),
        (OperationalError("database or disk is full"), True),
        (OperationalError("couldn't get a connection after 5.00 sec"), True),
        (OperationalError("FATAL:  sorry, too many clients already"), True),
        (InterfaceError("the connection is closed"), True),
        (OSError(errno.EROFS, "Read-only file system"), True),
        (OperationalError("no such table: intake_order"), False),
        (FileNotFoundError(errno.ENOENT, "gone"), False),
        (ValueError("no"), False),
        (None, False),
    ],
)
def test_only_what_time_may_mend_is_away(fault, away):
    assert is_away(fault) is away


def test_head_and_zone_of_before_hold_while_the_database_is_away(letterhead, away, monkeypatch):
    known, zone = house.house(), guard._kept_zone.read()
    monkeypatch.setattr(house._kept, "_until", float("-inf"))
    monkeypatch.setattr(guard._kept_zone, "_until", float("-inf"))
    with away():
        assert house.house() == known
        assert guard._kept_zone.read() == zone
    assert known.name == "Quillmere Bench"
