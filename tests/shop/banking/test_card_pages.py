"""Paying by card: the customer's button, the provider's reports over the real address, what waits for the owner."""

import json
from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client, override_settings
from django.urls import reverse

from intake.models import Letterhead, Order
from quotes import billing
from quotes.cards.offline import HEADER, body_of
from quotes.cards.provider import Event
from quotes.models import CardCheckout, CardEvent, Dispute, Payment
from shop.banking import card_views, pretending
from tests import walk
from tests.window_pages import everything, let_in, page_of

pytestmark = pytest.mark.usefixtures("cards", "_clock")
REPORTS = "/cards/offline/events/"


def event(checkout: CardCheckout, kind: str = "paid", **changes: Any) -> Event:
    told = {
        "ident": f"{kind}-1", "kind": kind, "checkout": checkout.ident, "amount": checkout.amount,
        "currency": checkout.currency, "at": datetime(2026, 2, 2, tzinfo=UTC),
    }  # fmt: skip
    return Event(**(told | changes))


def report(told: Event | bytes, client: Client | None = None, **headers: str) -> Any:
    body = told if isinstance(told, bytes) else body_of(told)
    signed = pretending.offline_provider().sign(body) | headers
    return (client or Client(enforce_csrf_checks=True)).post(
        REPORTS, body, content_type="application/json", headers=signed
    )


@pytest.fixture
def checkout(order: Order, client: Client) -> CardCheckout:
    assert let_in(order, client).post(reverse("shop:pay_by_card", args=[order.code])).status_code == 200
    return CardCheckout.objects.get()


def test_button_stands_in_the_window_only_while_something_is_owed(order, client, bench, at) -> None:
    assert 'id="card"' in page_of(order, client)
    walk.pay(order, by=bench.technician, at=at)
    assert 'id="card"' not in page_of(order, client)


def test_without_a_provider_there_is_no_button_and_the_address_says_so(order, client) -> None:
    Letterhead.objects.update(card_provider="")
    assert 'id="card"' not in page_of(order, client)
    answer = client.post(reverse("shop:pay_by_card", args=[order.code]))
    assert answer.status_code == 409 and "no cards by link" in answer.content.decode()
    assert not CardCheckout.objects.exists()


def test_pressing_it_names_the_sum_and_leads_to_the_provider_by_a_link(order, client, checkout) -> None:
    page = client.post(reverse("shop:pay_by_card", args=[order.code])).content.decode()
    assert f'href="/cards/pretend/{CardCheckout.objects.latest("pk").ident}/"' in page
    assert "We never see your card" in page
    assert checkout.amount == billing.balance(order)


def test_only_the_link_of_the_order_opens_its_card_page(order) -> None:
    stranger = Client()
    for method in (stranger.post, stranger.get):
        address = "shop:pay_by_card" if method == stranger.post else "shop:card_back"
        assert method(reverse(address, args=[order.code])).status_code == 404
    assert not CardCheckout.objects.exists()


def test_way_back_books_nothing_and_says_what_is_known(order, client, checkout) -> None:
    before = everything(order)
    address = reverse("shop:card_back", args=[order.code])
    assert "We wait for word" in client.get(address).content.decode()
    assert everything(order) == before
    report(event(checkout))
    assert "Thank you, it is paid" in client.get(address).content.decode()


def test_report_fifty_times_books_once(order, checkout) -> None:
    assert {report(event(checkout)).status_code for _ in range(50)} == {200}
    assert Payment.objects.get().amount == checkout.amount
    assert CardEvent.objects.count() == 1
    assert billing.balance(order) == 0


def test_signature_comes_first(checkout) -> None:
    body = body_of(event(checkout))
    assert report(body, **{HEADER: "t=1,v=0"}).status_code == 400
    assert report(b"{}", **{HEADER: ""}).status_code == 400
    assert report(b"{}").status_code == 422
    assert Client().post("/cards/nobody/events/", body, content_type="application/json").status_code == 404
    assert Client().get(REPORTS).status_code == 405
    assert not CardEvent.objects.exists()


def test_report_that_is_too_long_is_not_read(checkout) -> None:
    body = json.dumps({"x": "y" * card_views.LARGEST_REPORT}).encode()
    assert report(body).status_code == 413


def test_report_nobody_expected_stands_on_the_owners_page_until_it_is_set_aside(desk, checkout) -> None:
    assert report(replace(event(checkout), checkout="nobody-knows")).status_code == 200
    row = CardEvent.objects.get()
    assert "nobody-knows" in desk.get("/accounts/bank/").content.decode()
    desk.post(f"/accounts/bank/cards/{row.pk}/again/")
    desk.post(f"/accounts/bank/cards/{row.pk}/aside/", {"why": ""})
    page = desk.get("/accounts/bank/").content.decode()
    assert "It still waits" in page and "how it was settled" in page and "nobody-knows" in page
    desk.post(f"/accounts/bank/cards/{row.pk}/aside/", {"why": "Of another shop"})
    assert "nobody-knows" not in desk.get("/accounts/bank/").content.decode()


def test_dispute_reported_holds_the_money_apart(order, checkout) -> None:
    report(event(checkout, "disputed", why="Not known", fee=Decimal(15)))
    report(event(checkout))
    assert Dispute.objects.get().amount == checkout.amount
    assert billing.balance(order) == checkout.amount
    report(event(checkout, "dispute_won"))
    assert billing.balance(order) == 0


def test_pretended_page_is_the_demonstrations_alone(checkout) -> None:
    address = f"/cards/pretend/{checkout.ident}/"
    assert Client().get(address).status_code == 404
    with override_settings(DEMO=True):
        page = Client().get(address)
        assert page.status_code == 200 and "No card is asked for" in page.content.decode()
        assert Client().get("/cards/pretend/nobody/").status_code == 404
    assert not CardEvent.objects.exists()


@pytest.mark.parametrize("kind", ["paid", "failed", "disputed"])
def test_pretending_sends_a_signed_report_to_the_real_address(checkout, client, monkeypatch, kind) -> None:
    sent = []

    class Line:
        def __init__(self, host: str, timeout: float) -> None:
            sent.append(host)

        def request(self, method: str, address: str, body: bytes, headers: dict[str, str]) -> None:
            self.answer = Client(enforce_csrf_checks=True).post(
                address, body, content_type="application/json", headers=headers
            )

        def getresponse(self) -> Any:
            return type("Answer", (), {"status": self.answer.status_code})

        def close(self) -> None:
            sent.append("closed")

    monkeypatch.setattr(pretending.http.client, "HTTPConnection", Line)
    with override_settings(DEMO=True):
        answer = client.post(f"/cards/pretend/{checkout.ident}/", {"kind": kind})
    assert answer.status_code == 303
    assert sent == ["testserver", "closed"]
    assert CardEvent.objects.get().kind == kind
    assert Payment.objects.exists() is (kind == "paid")


def test_pretending_with_nobody_there_says_so(checkout, client, monkeypatch) -> None:
    monkeypatch.setattr(
        pretending, "deliver", lambda *_, **__: (_ for _ in ()).throw(ConnectionRefusedError())
    )
    with override_settings(DEMO=True):
        answer = client.post(f"/cards/pretend/{checkout.ident}/", {"kind": "paid"}, follow=True)
    assert "The report did not arrive" in answer.content.decode()


@pytest.mark.parametrize("demo", [True, False])
def test_offline_provider_is_there_only_in_the_demonstration(settings, monkeypatch, demo) -> None:
    registered = []
    monkeypatch.setattr(pretending, "register", registered.append)
    settings.DEMO = demo
    pretending.register_offline()
    assert bool(registered) is demo


def test_letterhead_offers_the_providers_there_are(desk) -> None:
    page = desk.get("/settings/letterhead/").content.decode()
    assert 'name="card_provider"' in page and 'value="offline" selected' in page
