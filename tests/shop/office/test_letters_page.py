"""The owner's outbox: what is stuck can be acted on, a letter is read in a locked frame, links stay secret."""

from datetime import datetime
from types import SimpleNamespace

import pytest
from django.test import Client

from intake import tokens
from intake.models import Letter
from shop.office import letter_files
from shop.office.stuck import stuck_letters
from tests import walk


@pytest.fixture
def desk(bench: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(bench.owner)
    return client


@pytest.fixture
def letter(bench: SimpleNamespace, at: datetime) -> Letter:
    walk.request(at=at)
    return Letter.objects.get(kind="request_received")


def _set(letter: Letter, state: str) -> None:
    Letter.objects.filter(pk=letter.pk).update(state=state, last_error="The line broke")


def test_stuck_letter_shows_with_its_reason_and_on_the_day_sheet_of_the_owner(
    desk: Client, bench: SimpleNamespace, letter: Letter
) -> None:
    assert stuck_letters() == 0
    _set(letter, "held")
    page = desk.get("/letters/").content.decode()
    assert "The line broke" in page and "Held for a person" in page
    assert stuck_letters() == 1
    assert "1 letter is stuck" in desk.get("/bench/").content.decode()
    technician = Client()
    technician.force_login(bench.technician)
    assert "is stuck" not in technician.get("/bench/").content.decode()


def test_held_letter_is_sent_again_or_marked_as_arrived_once(desk: Client, letter: Letter) -> None:
    _set(letter, "held")
    assert desk.get(f"/letters/{letter.pk}/again/").status_code == 405
    desk.post(f"/letters/{letter.pk}/again/")
    letter.refresh_from_db()
    assert letter.state == "pending"
    answer = desk.post(f"/letters/{letter.pk}/arrived/", follow=True)
    assert "Nothing was changed" in answer.content.decode()
    _set(letter, "held")
    desk.post(f"/letters/{letter.pk}/arrived/")
    letter.refresh_from_db()
    assert letter.state == "sent" and letter.sent_at is not None


def test_letter_keeps_the_customers_link_from_the_page(desk: Client, letter: Letter) -> None:
    assert letter.link is not None
    address = tokens.address_of(letter.link)
    page = desk.get(f"/letters/{letter.pk}/").content.decode()
    html = desk.get(f"/letters/{letter.pk}/html/").content.decode()
    assert address not in page and address not in html
    assert tokens.MARK not in page and tokens.MARK not in html
    assert "own link stands here" in page


def test_html_of_a_letter_may_run_nothing_and_be_framed_only_here(desk: Client, letter: Letter) -> None:
    answer = desk.get(f"/letters/{letter.pk}/html/")
    policy = answer.headers["Content-Security-Policy"]
    for line in ("sandbox", "script-src 'none'", "form-action 'none'", "frame-ancestors 'self'"):
        assert line in policy
    assert answer.headers["X-Frame-Options"] == "SAMEORIGIN"
    assert "frame-src 'self'" in desk.get(f"/letters/{letter.pk}/").headers["Content-Security-Policy"]


def test_sent_letters_are_turned_by_key(
    desk: Client, letter: Letter, at: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(letter_files, "A_PAGE", 2)
    for _ in range(2):
        walk.request(at=at)
    Letter.objects.filter(kind="request_received").update(state="sent", sent_at=at)
    first = desk.get("/letters/")
    assert [row.pk > letter.pk for row in first.context["sent"]] == [True, True]
    rest = desk.get(f"/letters/?before={first.context['more']}")
    assert [row.pk for row in rest.context["sent"]] == [letter.pk]
    assert desk.get("/letters/?before=x").status_code == 200


def test_address_of_a_dead_letter_is_put_right_on_its_page(desk: Client, letter: Letter) -> None:
    _set(letter, "dead")
    wrong = desk.post(f"/letters/{letter.pk}/to/", {"to": "mara at home"})
    page = wrong.content.decode()
    assert wrong.status_code == 422
    assert "not a whole e-mail address" in page and 'value="mara at home"' in page
    done = desk.post(f"/letters/{letter.pk}/to/", {"to": "mara.right@example.com"}, follow=True)
    assert "1 letter goes again" in done.content.decode()


def test_dead_letter_that_need_not_go_is_closed_and_red_no_more(desk: Client, letter: Letter) -> None:
    _set(letter, "dead")
    assert stuck_letters() == 1
    assert "Closed." in desk.post(f"/letters/{letter.pk}/close/", follow=True).content.decode()
    assert stuck_letters() == 0
    assert "Nothing was changed" in desk.post(f"/letters/{letter.pk}/close/", follow=True).content.decode()
