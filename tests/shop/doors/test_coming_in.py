"""In by password and code: who is signed in when, what is counted, and what a stranger learns."""

from collections.abc import Callable
from unittest import mock

import pytest
from django.test import Client

from intake.models import HistoryEntry, Letter, Letterhead, Person
from shop.doors import factor, half_way
from shop.models import KnownBrowser, SignInTry
from tests.known_browser import make_known
from tests.shop.doors.conftest import Clock

PASSWORD = "bench-light-on"  # noqa: S105 -- an invented person's, in a test
IN, WRONG, CODE = SignInTry.Result.IN, SignInTry.Result.WRONG, SignInTry.Result.CODE_WRONG


def knock(client: Client, name: str = "wilma", password: str = PASSWORD, **more: str) -> object:
    return client.post("/sign-in/", {"username": name, "password": password}, **more)


def results() -> list[str]:
    return list(SignInTry.objects.order_by("pk").values_list("result", flat=True))


def is_in(client: Client) -> bool:
    return client.get("/bench/").status_code == 200


def come_in(client: Client, phone: Callable[[], str]) -> None:
    knock(client)
    assert client.post("/sign-in/code/", {"code": phone()}).status_code == 303


def test_password_alone_signs_nobody_in_who_has_a_second_step(
    client: Client, phone: Callable[[], str]
) -> None:
    answer = knock(client)
    assert (answer.status_code, answer.url) == (303, "/sign-in/code/")
    assert not is_in(client)
    assert results() == [CODE]
    assert client.post("/sign-in/code/", {"code": "000000"}).status_code == 422
    assert not is_in(client)
    answer = client.post("/sign-in/code/", {"code": phone()})
    assert (answer.status_code, answer.url) == (303, "/bench/")
    assert is_in(client)
    assert results() == [CODE, IN]


def test_code_page_is_nothing_without_a_password(client: Client, phone: Callable[[], str]) -> None:
    assert client.post("/sign-in/code/", {"code": phone()}).url.startswith("/sign-in/")
    assert not is_in(client)


def test_code_works_once(client: Client, phone: Callable[[], str]) -> None:
    come_in(client, phone)
    other = Client()
    knock(other)
    assert other.post("/sign-in/code/", {"code": phone()}).status_code == 422
    assert not is_in(other)


def test_code_of_an_older_step_does_not_work_after_a_newer_one(
    client: Client, phone: Callable[[], str], clock: Clock
) -> None:
    older = phone()
    clock.on(seconds=30)
    come_in(client, phone)
    other = Client()
    knock(other)
    assert other.post("/sign-in/code/", {"code": older}).status_code == 422


def test_half_way_in_lasts_five_minutes(client: Client, phone: Callable[[], str], clock: Clock) -> None:
    knock(client)
    clock.on(minutes=5, seconds=1)
    answer = client.post("/sign-in/code/", {"code": phone()}, follow=True)
    assert "begin again" in answer.content.decode()
    assert not is_in(client)


def test_five_wrong_codes_begin_anew(client: Client, phone: Callable[[], str]) -> None:
    knock(client)
    for _ in range(half_way.MOST_WRONG - 1):
        assert client.post("/sign-in/code/", {"code": "000000"}).status_code == 422
    assert client.post("/sign-in/code/", {"code": "000000"}).status_code == 303
    assert client.post("/sign-in/code/", {"code": phone()}).url.startswith("/sign-in/")
    assert not is_in(client)


def test_new_password_ends_who_is_half_way(client: Client, phone: Callable[[], str], owner: Person) -> None:
    knock(client)
    owner.set_password("another-bench-light")
    owner.save()
    client.post("/sign-in/code/", {"code": phone()})
    assert not is_in(client)


def test_session_key_is_another_after_each_step(client: Client, phone: Callable[[], str]) -> None:
    client.get("/sign-in/")
    session = client.session
    session["x"] = 1
    session.save()
    keys = [client.session.session_key]
    knock(client)
    keys.append(client.session.session_key)
    client.post("/sign-in/code/", {"code": phone()})
    keys.append(client.session.session_key)
    assert len(set(keys)) == 3
    assert half_way.KEY not in client.session


def test_recovery_code_lets_in_once_and_is_told(
    client: Client, phone: Callable[[], str], owner: Person
) -> None:
    knock(client)
    line = owner.list_lines[2]
    answer = client.post("/sign-in/code/?list=1", {"code": line.lower().replace("-", " ")})
    assert answer.status_code == 303
    assert is_in(client)
    assert SignInTry.objects.filter(result=SignInTry.Result.RECOVERY).count() == 1
    assert factor.codes_left(owner) == 9
    letter = Letter.objects.filter(kind="sign_in_news").latest("pk")
    assert "a code of your printed list" in letter.subject
    assert line not in letter.text
    assert HistoryEntry.objects.filter(what="recovery code used").count() == 1
    other = Client()
    knock(other)
    assert other.post("/sign-in/code/?list=1", {"code": line}).status_code == 422
    assert not is_in(other)


@pytest.mark.parametrize(
    "typed", ["", "3-AAAA-AAAA-AAA", "11-ABCD-EFGH-JKL", "nonsense", "\u0661" * 12, "0" * 40]
)
def test_recovery_code_that_is_none_lets_nobody_in(
    client: Client, phone: Callable[[], str], typed: str
) -> None:
    knock(client)
    assert client.post("/sign-in/code/?list=1", {"code": typed}).status_code == 422
    assert not is_in(client)


def test_line_of_the_list_with_another_number_is_refused(
    client: Client, phone: Callable[[], str], owner: Person
) -> None:
    knock(client)
    assert client.post("/sign-in/code/?list=1", {"code": "4" + owner.list_lines[2][1:]}).status_code == 422


@pytest.mark.parametrize(
    "typed", ["12345", "1234567", "12345a", "\u0661\u0662\u0663\u0664\u0665\u0666", "' or 1=1"]
)
def test_code_that_is_none_is_refused_kindly(client: Client, phone: Callable[[], str], typed: str) -> None:
    knock(client)
    assert client.post("/sign-in/code/", {"code": typed}).status_code == 422


def test_nothing_tells_names_apart(client: Client, letterhead: Letterhead, owner: Person) -> None:
    """Same status, same bytes but for the form's token and the name that was typed, one hash each."""
    gone = Person.objects.create_user("gone", password=PASSWORD, initials="GO", is_active=False)
    pages, hashes = set(), []
    for name, password in (
        ("wilma", "wrong"),
        ("nobody", "wrong"),
        ("gone", "wrong"),
        (gone.username, PASSWORD),
    ):
        with mock.patch("django.contrib.auth.hashers.MD5PasswordHasher.encode", autospec=True) as made:
            made.return_value = "md5$x$y"
            answer = knock(Client(), name, password)
        hashes.append(made.call_count)
        text = answer.content.decode().replace(f'value="{name}"', "")
        pages.add((answer.status_code, text.split("csrfmiddlewaretoken")[0], text.split('name="next"')[1]))
        assert "browser" not in answer.cookies
    assert len(pages) == 1
    assert len(set(hashes)) == 1 and hashes[0] >= 1


def test_try_keeps_neither_name_nor_address(client: Client, letterhead: Letterhead, owner: Person) -> None:
    knock(client, "Wilma's secret word", "x", REMOTE_ADDR="192.0.2.77")
    row = SignInTry.objects.values().get()
    assert "secret" not in str(row).lower() and "192.0.2" not in str(row)
    assert len(row["name_digest"]) == len(row["sender"]) == 64


def test_new_browser_is_told_but_not_the_first(
    client: Client, phone: Callable[[], str], clock: Clock
) -> None:
    Letter.objects.all().delete()
    come_in(client, phone)
    assert not Letter.objects.exists()
    clock.on(minutes=1)
    come_in(Client(), phone)
    assert Letter.objects.get().subject == "You signed in on a browser we had not seen"
    clock.on(minutes=1)
    client.post("/sign-out/")
    come_in(client, phone)
    assert Letter.objects.count() == 1
    assert KnownBrowser.objects.count() == 2


def test_browser_of_two_people_is_known_for_both(
    letterhead: Letterhead, owner: Person, technician: Person
) -> None:
    shared = Client()
    for name in ("wilma", "tarn", "wilma", "tarn"):
        assert knock(shared, name).status_code == 303
        shared.post("/sign-out/")
    assert KnownBrowser.objects.count() == 2
    assert not Letter.objects.exists()


def test_browser_mark_that_nobody_gave_out_is_not_taken(letterhead: Letterhead, owner: Person) -> None:
    client = Client()
    client.cookies["browser"] = planted = "A" * 43
    assert knock(client).status_code == 303
    assert client.cookies["browser"].value != planted
    assert client.cookies["browser"]["httponly"] and client.cookies["browser"]["max-age"] == 31_536_000


def test_browser_mark_is_bound_to_the_host_where_the_site_is_safe(
    settings: object, letterhead: Letterhead, owner: Person
) -> None:
    settings.SECURE_SITE = True
    answer = knock(Client())
    kept = answer.cookies["__Host-browser"]
    assert kept["secure"] and kept["path"] == "/" and not kept["domain"]


def test_signing_out_is_noted(client: Client, letterhead: Letterhead, owner: Person) -> None:
    knock(client)
    client.post("/sign-out/")
    assert results() == [IN, SignInTry.Result.OUT]


def test_unreadable_secret_is_said_and_the_list_still_works(
    client: Client, phone: Callable[[], str], owner: Person
) -> None:
    owner.second_factor.key_name = "gone"
    owner.second_factor.save()
    knock(client)
    answer = client.post("/sign-in/code/", {"code": phone()})
    assert answer.status_code == 422
    assert "cannot be read" in answer.content.decode()
    assert client.post("/sign-in/code/?list=1", {"code": owner.list_lines[0]}).status_code == 303


def test_kept_words_survive_both_steps(client: Client, phone: Callable[[], str], clock: Clock) -> None:
    make_known(client, Person.objects.get(username="wilma"))
    client.post("/sheet/ACDE-FHJK/write/", {"text": "typed before"})
    answer = client.post("/sign-in/", {"username": "wilma", "password": PASSWORD, "next": "/kept/"})
    answer = client.post(answer.url, {"code": phone()})
    assert answer.url == "/kept/"
    assert "typed before" in client.get("/kept/").content.decode()
