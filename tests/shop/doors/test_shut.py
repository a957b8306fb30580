"""Wrong tries: pauses that grow, and a stranger who cannot shut the owner out."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace
from unittest import mock

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st
from waitress.proxy_headers import proxy_headers_middleware

from intake.models import Letter, Letterhead, Person
from shop import clock as rounds
from shop.doors import coming_in, pauses, tries
from shop.doors.tries import Knock
from shop.management.commands.serve import _server_options
from shop.models import SignInTry
from tests.shop.doors.conftest import NOW, Clock
from tests.shop.doors.test_coming_in import is_in, knock

WRONG = SignInTry.Result.WRONG


def wrong_tries(
    count: int, *, at: dt.datetime, name: str = "wilma", senders: int = 1, apart: float = 0.0
) -> None:
    """Rows as that many wrong tries of strangers leave them, ending at `at`."""
    SignInTry.objects.bulk_create(
        SignInTry(
            person=Person.objects.filter(username=name).first(), name_digest=tries.name_digest(name),
            sender=f"{number % senders:064}", at=at - dt.timedelta(seconds=apart * (count - number)), result=WRONG,
        )
        for number in range(count)
    )  # fmt: skip


def test_ten_wrong_tries_shut_the_door_for_ten_minutes(
    letterhead: Letterhead, owner: Person, clock: Clock
) -> None:
    client = Client()
    for _ in range(10):
        assert knock(client, password="wrong").status_code == 422
    answer = knock(client)
    assert answer.status_code == 429
    assert "Please wait until 09:10" in answer.content.decode()
    assert knock(Client(), REMOTE_ADDR="192.0.2.7").status_code == 303, "another place is not shut"
    clock.on(minutes=10)
    assert knock(client).status_code == 303


def test_pause_doubles_and_tries_while_it_lasts_do_not_count(
    letterhead: Letterhead, owner: Person, clock: Clock
) -> None:
    client = Client()
    for pause in (10, 20, 40, 60, 60):
        for _ in range(10):
            assert knock(client, password="wrong").status_code == 422
        for _ in range(3):
            assert knock(client).status_code == 429
        clock.on(minutes=pause, seconds=-1)
        assert knock(client).status_code == 429
        clock.on(seconds=1)
    assert knock(client).status_code == 303
    assert knock(client, password="wrong").status_code == 422, "who came in begins anew"


def test_wrong_codes_count_like_wrong_passwords(client: Client, phone: object, clock: Clock) -> None:
    for _ in range(2):
        knock(client)
        for _ in range(5):
            client.post("/sign-in/code/", {"code": "000000"})
    assert knock(client).status_code == 429


@pytest.mark.long
def test_thousand_tries_of_a_stranger_bar_neither_the_known_browser_nor_later_a_new_one(
    letterhead: Letterhead, owner: Person, clock: Clock, size: Callable[[int, int], int]
) -> None:
    mine, stranger = Client(), Client(REMOTE_ADDR="203.0.113.9")
    assert knock(mine).status_code == 303
    mine.post("/sign-out/")
    heard = sum(
        knock(stranger, password=f"guess {number}").status_code == 422 for number in range(size(60, 1000))
    )
    assert heard == 10
    assert knock(stranger).status_code == 429
    assert knock(mine).status_code == 303
    assert is_in(mine)
    clock.on(hours=1)
    assert knock(Client()).status_code == 303


def test_thousand_tries_from_a_thousand_places_do_not_bar_the_known_browser(
    letterhead: Letterhead, owner: Person, clock: Clock
) -> None:
    mine = Client()
    assert knock(mine).status_code == 303
    mine.post("/sign-out/")
    wrong_tries(1000, at=clock.at, senders=1000)
    assert knock(Client()).status_code == 429, "a new browser has to wait"
    assert knock(mine).status_code == 303
    clock.on(hours=1, seconds=1)
    assert knock(Client()).status_code == 303


def test_known_browser_of_somebody_else_is_a_stranger_to_the_name(
    letterhead: Letterhead, owner: Person, technician: Person, clock: Clock
) -> None:
    theirs = Client()
    assert knock(theirs, "tarn").status_code == 303
    theirs.post("/sign-out/")
    wrong_tries(100, at=clock.at, senders=100)
    assert knock(theirs).status_code == 429


def test_known_browser_has_a_limit_of_its_own(letterhead: Letterhead, owner: Person, clock: Clock) -> None:
    mine = Client()
    knock(mine)
    mine.post("/sign-out/")
    for _ in range(10):
        knock(mine, password="wrong")
    assert knock(mine).status_code == 429
    assert knock(Client()).status_code == 303, "its tries are its own"


def test_one_place_that_tries_many_names_has_to_wait(
    letterhead: Letterhead, owner: Person, clock: Clock
) -> None:
    for number in range(50):
        knock(Client(), f"name{number}", "x")
    assert knock(Client()).status_code == 429
    assert knock(Client(), REMOTE_ADDR="192.0.2.7").status_code == 303


def test_unknown_name_is_shut_out_alike(letterhead: Letterhead, owner: Person, clock: Clock) -> None:
    seen = []
    for name in ("wilma", "nobody"):
        client = Client(REMOTE_ADDR=f"192.0.2.{len(name)}")
        seen.append([knock(client, name, "x").status_code for _ in range(12)])
    assert seen[0] == seen[1] == [422] * 10 + [429] * 2


@given(st.lists(st.integers(0, 5000), max_size=60), st.integers(0, 6000))
def test_door_is_never_shut_longer_than_an_hour_and_never_below_the_limit(
    ages: list[int], later: int
) -> None:
    wrong = sorted(NOW - dt.timedelta(seconds=age) for age in ages)
    at = NOW + dt.timedelta(seconds=later)
    until = pauses.shut_until(wrong, pauses.TOGETHER, at=at)
    if len(wrong) < pauses.TOGETHER.most:
        assert until is None
    if until is not None:
        assert at < until <= max(wrong) + pauses.LONGEST
    assert pauses.shut_until(wrong, pauses.TOGETHER, at=NOW + pauses.LONGEST) is None


def test_owner_is_told_of_many_tries_once_an_hour(letterhead: Letterhead, owner: Person) -> None:
    wrong_tries(99, at=NOW)
    assert coming_in.tell_of_many(at=NOW) == 0
    wrong_tries(1, at=NOW)
    assert [coming_in.tell_of_many(at=NOW + dt.timedelta(minutes=by)) for by in (0, 1, 59)] == [1, 0, 0]
    letter = Letter.objects.get()
    assert letter.to == owner.email
    assert "100 times" in letter.text
    assert "/settings/came-in/" in letter.text
    wrong_tries(150, at=NOW + dt.timedelta(minutes=70))
    assert coming_in.tell_of_many(at=NOW + dt.timedelta(minutes=71)) == 1


def test_clock_forgets_tries_after_ninety_days(letterhead: Letterhead, owner: Person) -> None:
    wrong_tries(3, at=NOW - dt.timedelta(days=90, seconds=1))
    wrong_tries(2, at=NOW - dt.timedelta(days=89))
    assert rounds.tick(at=NOW)["sign_in_tries"] == 3
    assert SignInTry.objects.count() == 2


@pytest.mark.parametrize("name", ["wilma", " Wilma ", "WILMA"])
def test_capitals_do_not_make_another_name(name: str) -> None:
    assert tries.name_digest(name) == tries.name_digest("wilma")
    assert Knock(name, "s").name_digest == tries.name_digest("wilma")


def test_sender_is_the_hop_before_the_own_web_server() -> None:
    """What a sender writes into X-Forwarded-For itself is not believed: the last hop alone, and only behind a proxy."""

    def seen(remote: str, forwarded: str, *, behind: bool, settings: SimpleNamespace) -> str:
        with mock.patch("shop.management.commands.serve.settings", settings):
            options = _server_options("127.0.0.1", 8000)
        found: dict[str, str] = {}
        if not behind:
            assert "trusted_proxy" not in options
        app = proxy_headers_middleware(
            lambda environ, start: found.update(environ) or [],
            trusted_proxy=options.get("trusted_proxy"),
            trusted_proxy_headers=options.get("trusted_proxy_headers"),
            clear_untrusted=True,
        )
        app({"REMOTE_ADDR": remote, "HTTP_X_FORWARDED_FOR": forwarded, "wsgi.url_scheme": "http"}, None)
        return found["REMOTE_ADDR"]

    told = ("HTTP_X_FORWARDED_PROTO", "https")
    behind = SimpleNamespace(SECURE_PROXY_SSL_HEADER=told, PROXY_ADDRESS="127.0.0.1")
    apart = SimpleNamespace(SECURE_PROXY_SSL_HEADER=told, PROXY_ADDRESS="192.0.2.1")
    bare = SimpleNamespace(SECURE_PROXY_SSL_HEADER=None)
    assert seen("127.0.0.1", "10.9.9.9, 203.0.113.5", behind=True, settings=behind) == "203.0.113.5"
    assert seen("192.0.2.1", "10.9.9.9, 203.0.113.5", behind=True, settings=behind) == "192.0.2.1"
    assert seen("192.0.2.1", "10.9.9.9, 203.0.113.5", behind=True, settings=apart) == "203.0.113.5"
    assert seen("127.0.0.1", "10.9.9.9, 203.0.113.5", behind=True, settings=apart) == "127.0.0.1"
    assert seen("192.0.2.1", "10.9.9.9", behind=False, settings=bare) == "192.0.2.1"
