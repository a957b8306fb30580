"""Who may come in: sign-in, roles, where it leads, and what was typed when a sign-in had ended."""

from datetime import datetime
from types import SimpleNamespace

import pytest
from django.contrib.sessions.models import Session
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.test import Client, RequestFactory

from intake.models import Person
from intake.stations import Station
from quotes.models import Part
from shop.access import owner_only
from shop.doors import browsers
from tests import walk
from tests.known_browser import make_known

PASSWORD = "bench-light-on"  # noqa: S105 -- an invented person's, in a test


def test_sign_in_leads_to_the_day_sheet(client: Client, technician: Person) -> None:
    answer = client.post("/sign-in/", {"username": "tarn", "password": PASSWORD})
    assert (answer.status_code, answer.url) == (303, "/bench/")
    assert client.get("/bench/").status_code == 200


@pytest.mark.parametrize(("name", "password"), [("tarn", "wrong"), ("nobody", PASSWORD), ("", "")])
def test_sign_in_that_fails_lets_nobody_in(
    client: Client, technician: Person, name: str, password: str
) -> None:
    answer = client.post("/sign-in/", {"username": name, "password": password})
    assert answer.status_code == 422
    assert client.get("/bench/").status_code == 302


def test_wrong_name_and_wrong_password_are_answered_alike(client: Client, technician: Person) -> None:
    texts = set()
    for name, password in (("tarn", "wrong"), ("nobody", PASSWORD)):
        page = client.post("/sign-in/", {"username": name, "password": password}).content.decode()
        assert "That name and password do not go together. Please try again." in page
        texts.add(page.split('role="alert"')[1].split("</div>")[0])
    assert len(texts) == 1


def test_person_who_left_is_answered_like_a_stranger(client: Client, technician: Person) -> None:
    Person.objects.update(is_active=False)
    answer = client.post("/sign-in/", {"username": "tarn", "password": PASSWORD})
    assert "do not go together" in answer.content.decode()


def test_person_who_left_is_out_at_once(client: Client, technician: Person) -> None:
    client.force_login(technician)
    Person.objects.update(is_active=False)
    assert client.get("/bench/").status_code == 302


@pytest.mark.parametrize(
    ("wanted", "leads"),
    [
        ("/receiving/", "/receiving/"),
        ("https://elsewhere.example/", "/bench/"),
        ("//elsewhere.example/", "/bench/"),
        ("javascript:alert(1)", "/bench/"),
        ("", "/bench/"),
    ],
)
def test_sign_in_leads_only_to_pages_of_this_house(
    client: Client, technician: Person, wanted: str, leads: str
) -> None:
    answer = client.post("/sign-in/", {"username": "tarn", "password": PASSWORD, "next": wanted})
    assert answer.url == leads


def test_sign_out_only_by_post(client: Client, technician: Person) -> None:
    client.force_login(technician)
    assert client.get("/sign-out/").status_code == 405
    assert client.get("/bench/").status_code == 200
    client.post("/sign-out/")
    assert client.get("/bench/").status_code == 302


@pytest.mark.parametrize("path", ["/bench/", "/receiving/", "/find/?q=x", "/photo/1/", "/paper/1/"])
def test_pages_of_the_shop_ask_strangers_to_sign_in(client: Client, db: None, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 302
    assert answer.url.startswith("/sign-in/?next=")


def test_owner_only_refuses_a_technician(technician: Person, owner: Person) -> None:
    view = owner_only(lambda request: HttpResponse("figures"))

    def ask(person: Person) -> HttpRequest:
        request = RequestFactory().get("/books/")
        request.user = person
        return request

    assert view(ask(owner)).content == b"figures"
    with pytest.raises(PermissionDenied):
        view(ask(technician))


def test_post_of_an_ended_sign_in_is_kept_and_can_be_sent(bench: SimpleNamespace, at: datetime) -> None:
    order, client = walk.request(at=at), Client()
    make_known(client, bench.technician)
    words = "The socket is torn. " * 30
    answer = client.post(f"/sheet/{order.code}/write/", {"text": words, "form_key": "kept"})
    assert answer.url == "/sign-in/?next=%2Fkept%2F"
    assert order.messages.count() == 0
    client.force_login(bench.technician)
    page = client.get("/kept/").content.decode()
    assert words.strip() in page
    assert f'action="/sheet/{order.code}/write/"' in page
    client.post(f"/sheet/{order.code}/write/", {"text": words, "form_key": "kept"})
    assert order.messages.get().text == words.strip()


def test_post_of_a_stranger_is_not_kept_and_makes_no_session(client: Client, bench: SimpleNamespace) -> None:
    """Whatever cookies it brings: a session that never was, a browser nobody came in with."""
    client.cookies["session"] = "a" * 32
    client.cookies[browsers.cookie_name()] = "b" * 43
    answer = client.post("/settings/keeping/", {"words": "x" * 150_000})
    assert answer.url.startswith("/sign-in/")
    assert not Session.objects.exists()


def test_kept_post_is_shown_to_nobody_who_is_not_signed_in(client: Client, technician: Person) -> None:
    make_known(client, technician)
    client.post("/sheet/ACDE-FHJK/write/", {"text": "secret words", "password": "never kept"})
    assert "secret words" not in client.get("/sign-in/?next=/kept/").content.decode()
    assert client.get("/kept/").status_code == 302
    assert "secret words" in str(dict(client.session))
    assert "never kept" not in str(dict(client.session))


def test_kept_post_can_be_dropped(bench: SimpleNamespace) -> None:
    client = Client()
    make_known(client, bench.technician)
    client.post("/sheet/ACDE-FHJK/write/", {"text": "words"})
    client.force_login(bench.technician)
    assert "words" in client.get("/kept/").content.decode()
    client.post("/kept/")
    assert client.get("/kept/").url == "/bench/"


def test_act_of_an_ended_sign_in_changes_nothing_in_stock_or_station(
    bench: SimpleNamespace, at: datetime
) -> None:
    order = walk.request(at=at)
    before = list(Part.objects.values_list("on_hand", "reserved"))
    Client().post(f"/sheet/{order.code}/goods-in/", {"version": order.version, "bag": "B-01"})
    order.refresh_from_db()
    assert order.at_station is Station.GOODS_IN
    assert list(Part.objects.values_list("on_hand", "reserved")) == before


def test_form_of_before_the_last_sign_in_is_kept(bench: SimpleNamespace, at: datetime) -> None:
    order, client = walk.request(at=at), Client(enforce_csrf_checks=True)
    client.force_login(bench.technician)
    path, typed = f"/sheet/{order.code}/write/", {"text": "Typed on the old page", "form_key": "k"}
    answer = client.post(path, typed, headers={"Origin": "http://testserver"})
    assert (answer.status_code, answer.url) == (303, "/kept/")
    assert "Typed on the old page" in client.get("/kept/").content.decode()
    assert order.messages.count() == 0


@pytest.mark.parametrize("origin", ["http://elsewhere.example", "null", ""])
def test_form_of_another_site_is_never_kept(bench: SimpleNamespace, at: datetime, origin: str) -> None:
    order, client = walk.request(at=at), Client(enforce_csrf_checks=True)
    client.force_login(bench.technician)
    answer = client.post(f"/sheet/{order.code}/write/", {"text": "planted"}, headers={"Origin": origin})
    assert answer.status_code == 403
    assert client.get("/kept/").url == "/bench/"


def test_bar_offers_no_place_that_would_refuse_a_technician(bench: SimpleNamespace) -> None:
    client = Client()
    client.force_login(bench.technician)
    assert 'href="/books/"' not in client.get("/bench/").content.decode()
    client.force_login(bench.owner)
    assert 'href="/books/"' in client.get("/bench/").content.decode()
