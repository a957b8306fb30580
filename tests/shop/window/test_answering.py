"""The decision on the customer's page: what must hold when two click, when a page is old, when words are missing."""

import datetime as dt
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest
from django.test import Client

from intake.models import Letter, Letterhead, Order
from intake.stations import Station
from quotes import offers
from quotes.models import Decision, Quote
from tests import walk
from tests.window_pages import AT, everything, let_in


@pytest.fixture
def order(bench: SimpleNamespace) -> Order:
    """An order whose quote waits for an answer."""
    return walk.to(walk.request(at=AT), Station.GO_AHEAD, by=bench.technician, at=AT)


@pytest.fixture
def quote(order: Order) -> Quote:
    return order.quotes.get()


def answer(client: Client, quote: Quote, choice: str = "mend", **changes: str) -> Any:
    given = {"quote": quote.digest, "choice": choice, "typed_name": "Mara Ellwick", **changes}
    given["quote"] = given.pop("digest", given["quote"])
    return client.post(f"/your/{quote.order.code}/answer/", given)


def text(response: Any) -> str:
    words: str = response.content.decode()
    return words


def test_review_repeats_amount_device_and_terms(order: Order, quote: Quote, client: Client) -> None:
    before = everything(order)
    page = text(
        let_in(order, client).get(f"/your/{order.code}/answer/", {"quote": quote.digest, "choice": "mend"})
    )
    for words in ("Yes, mend it for", "Zarnik Z7", "If the repair fails", "Warranty", quote.digest):
        assert words in page
    assert "checked" not in page
    assert everything(order)[:3] == before[:3]


def test_no_choice_is_said_beside_the_answers(order: Order, quote: Quote, client: Client) -> None:
    response = let_in(order, client).get(f"/your/{order.code}/answer/", {"quote": quote.digest})
    assert (response.status_code, "pick one of the answers" in text(response)) == (422, True)


def test_question_first_leads_to_the_messages(order: Order, quote: Quote, client: Client) -> None:
    response = let_in(order, client).get(
        f"/your/{order.code}/answer/", {"quote": quote.digest, "choice": "ask"}
    )
    assert response.headers["Location"] == f"/your/{order.code}/#messages"
    assert not Decision.objects.exists()


def test_yes_is_written_with_exactly_what_was_shown(order: Order, quote: Quote, client: Client) -> None:
    response = answer(let_in(order, client), quote)
    assert (response.status_code, response.headers["Location"]) == (303, f"/your/{order.code}/")
    decision = Decision.objects.get()
    assert (decision.digest, decision.amount, decision.choice) == (quote.digest, quote.total, "mend")
    assert decision.typed_name == "Mara Ellwick"
    assert decision.button.startswith("Yes, mend it for")
    assert decision.link is not None and decision.link.order_id == order.pk
    assert len(decision.from_address) == 64 and "127.0.0.1" not in decision.from_address
    order.refresh_from_db()
    assert order.station == Station.REPAIR
    assert "Your answer is written down" in text(client.get(f"/your/{order.code}/"))


@pytest.mark.parametrize("choice", ["back", "recycle"])
def test_no_sends_it_out_unmended(order: Order, quote: Quote, client: Client, choice: str) -> None:
    assert answer(let_in(order, client), quote, choice, wipe="on").status_code == 303
    order.refresh_from_db()
    assert order.station == Station.GOODS_OUT
    assert Decision.objects.get().consents == (["wipe"] if choice == "recycle" else [])


def test_recycling_needs_its_own_tick(order: Order, quote: Quote, client: Client) -> None:
    response = answer(let_in(order, client), quote, "recycle")
    assert (response.status_code, "tick that we may wipe" in text(response)) == (422, True)
    assert not Decision.objects.exists()


def test_missing_name_keeps_what_was_ticked(order: Order, quote: Quote, client: Client) -> None:
    response = answer(let_in(order, client), quote, "recycle", typed_name="   ", wipe="on")
    page = text(response)
    assert response.status_code == 422
    assert "stands for your signature." in page and "checked" in page
    assert page.count("<title>Error: ") == 1


def test_words_on_withdrawal_ask_for_their_own_tick(bench: SimpleNamespace, client: Client) -> None:
    head = Letterhead.current()
    Letterhead.objects.filter(pk=head.pk).update(withdrawal_words="You may withdraw within 14 days.")
    order = walk.to(walk.request(at=AT), Station.GO_AHEAD, by=bench.technician, at=AT)
    quote = order.quotes.get()
    refused = answer(let_in(order, client), quote)
    assert (refused.status_code, "within 14 days" in text(refused)) == (422, True)
    halfway = answer(client, quote, start="on")
    assert (halfway.status_code, "the time to withdraw is over" in text(halfway)) == (422, True)
    assert answer(client, quote, start="on", ends="on").status_code == 303
    decision = Decision.objects.get()
    assert decision.consents == ["start", "ends"]
    assert decision.consent_texts[0] == {
        "key": "start",
        "words": "Yes, start before my time to withdraw is over. You may withdraw within 14 days.",
        "version": str(head.version),
    }


def test_second_click_changes_nothing(order: Order, quote: Quote, client: Client) -> None:
    answer(let_in(order, client), quote)
    before = everything(order)
    response = answer(client, quote, "back")
    assert (response.status_code, "answered already" in text(response)) == (409, True)
    assert everything(order) == before
    old_page = client.get(f"/your/{order.code}/answer/", {"quote": quote.digest, "choice": "back"})
    assert (old_page.status_code, "answered already" in text(old_page)) == (409, True)


def test_two_windows_of_two_people_decide_once(order: Order, quote: Quote) -> None:
    one, two = let_in(order, Client()), let_in(order, Client())
    assert sorted([answer(one, quote).status_code, answer(two, quote, "back").status_code]) == [303, 409]
    assert Decision.objects.count() == 1
    assert Letter.objects.filter(kind__in=["agreed", "declined"]).count() == 1


def test_old_revision_leads_to_the_new_one(
    order: Order, quote: Quote, client: Client, bench: SimpleNamespace
) -> None:
    let_in(order, client)
    offers.reopen(order=order, seen_version=order.version, by=bench.technician, at=AT)
    order.refresh_from_db()
    rewriting = answer(client, quote)
    assert (rewriting.status_code, "writing you a new quote" in text(rewriting)) == (409, True)
    newer = walk.quote(order, by=bench.technician, at=AT, parts=())
    response = answer(client, quote)
    assert response.status_code == 409
    assert "There is a newer quote" in text(response) and newer.digest in text(response)
    assert not Decision.objects.exists()
    assert answer(client, newer).status_code == 303


def test_lapsed_quote_cannot_be_answered(
    order: Order, quote: Quote, client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    let_in(order, client)
    late = quote.valid_until + dt.timedelta(seconds=1)
    for module in ("access", "window.sheet", "window.answering"):
        monkeypatch.setattr(f"shop.{module}.now", lambda: late)
    response = answer(client, quote)
    assert (response.status_code, "has lapsed" in text(response)) == (409, True)
    assert "Continue" not in text(response)
    offers.lapse(quote=quote, at=late)
    page = text(client.get(f"/your/{order.code}/"))
    assert "Our quote has lapsed" in page and "Ask for a fresh one" in page


def test_last_second_of_the_quote_still_counts(
    order: Order, quote: Quote, client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    let_in(order, client)
    for module in ("access", "window.sheet", "window.answering"):
        monkeypatch.setattr(f"shop.{module}.now", lambda: quote.valid_until)
    assert answer(client, quote).status_code == 303


@pytest.mark.parametrize(("choice", "digest"), [("mend", "0" * 64), ("free", None), ("", None)])
def test_forged_answer_decides_nothing(
    order: Order, quote: Quote, client: Client, choice: str, digest: str | None
) -> None:
    response = answer(let_in(order, client), quote, choice, **({"digest": digest} if digest else {}))
    assert response.status_code == 409
    assert not Decision.objects.exists()


def test_quote_of_another_order_cannot_be_answered_here(
    order: Order, quote: Quote, client: Client, bench: SimpleNamespace
) -> None:
    other = walk.to(walk.request(at=AT, name="Other"), Station.GO_AHEAD, by=bench.technician, at=AT)
    response = let_in(order, client).post(
        f"/your/{order.code}/answer/",
        {"quote": other.quotes.get().digest, "choice": "mend", "typed_name": "Mara"},
    )
    assert response.status_code == 409
    assert not Decision.objects.exists()


def limited(bench: SimpleNamespace, cents: int) -> Order:
    """An order whose limit lies that many cents from the price it will be quoted."""
    probe = walk.to(walk.request(at=AT, name="Probe"), Station.GO_AHEAD, by=bench.technician, at=AT)
    limit = probe.quotes.get().total + Decimal(cents) / 100
    return walk.to(walk.request(at=AT, standing_limit=limit), Station.GO_AHEAD, by=bench.technician, at=AT)


def test_price_equal_to_the_limit_starts_and_can_be_stopped(bench: SimpleNamespace, client: Client) -> None:
    order = limited(bench, 0)
    assert order.station == Station.REPAIR
    page = text(let_in(order, client).get(f"/your/{order.code}/"))
    assert "Agreed by your own limit" in page and "Stop the repair" in page
    assert client.post(f"/your/{order.code}/stop/", {"version": order.version}).status_code == 303
    order.refresh_from_db()
    assert order.station == Station.QUOTE
    again = client.post(f"/your/{order.code}/stop/", {"version": order.version})
    assert (again.status_code, "nothing to stop" in text(again)) == (409, True)


def test_price_a_cent_above_the_limit_is_asked(bench: SimpleNamespace) -> None:
    order = limited(bench, -1)
    assert order.station == Station.GO_AHEAD
    assert not Decision.objects.exists()


def test_begun_work_cannot_be_stopped(bench: SimpleNamespace, client: Client) -> None:
    order = limited(bench, 0)
    let_in(order, client)
    order.work.create(kind="repair", started_at=AT, by=bench.technician)
    assert "Stop the repair" not in text(client.get(f"/your/{order.code}/"))
    response = client.post(f"/your/{order.code}/stop/", {"version": order.version})
    assert (response.status_code, "Work has begun" in text(response)) == (409, True)
    order.refresh_from_db()
    assert order.station == Station.REPAIR


def test_agreed_by_a_word_cannot_be_stopped_here(order: Order, quote: Quote, client: Client) -> None:
    answer(let_in(order, client), quote)
    assert "Stop the repair" not in text(client.get(f"/your/{order.code}/"))
