"""The customer's window: the way in, what is seen at every station, and the acts."""

import time
from types import SimpleNamespace
from typing import Any

import pytest
from django.test import Client

from intake import lifecycle, questions, tokens
from intake.models import CustomerLink, Letter, Message, Paper
from intake.stations import SlipReason, Station
from shop import access
from shop.returns import out
from shop.window import doors
from tests import walk
from tests.window_pages import AT, everything, let_in, letter_link, page_of


def test_letter_link_swaps_itself_for_the_session(bench: SimpleNamespace, client: Client) -> None:
    order = walk.request(at=AT)
    answer = client.get(letter_link(order))
    assert (answer.status_code, answer.headers["Location"]) == (303, f"/your/{order.code}/")
    assert answer.headers["Cache-Control"] == "private, no-store"
    assert "noindex" in answer.headers["X-Robots-Tag"]
    assert order.code in client.get(f"/your/{order.code}/").content.decode()


def test_head_of_a_mail_scanner_opens_nothing(bench: SimpleNamespace, client: Client) -> None:
    order = walk.request(at=AT)
    assert client.head(letter_link(order)).status_code == 303
    assert CustomerLink.objects.get(order=order).uses == 0
    assert client.get(f"/your/{order.code}/").status_code == 404


@pytest.mark.parametrize("dead", ["unknown", "expired", "revoked"])
def test_dead_links_get_the_same_gentle_page(bench: SimpleNamespace, client: Client, dead: str) -> None:
    order = walk.request(at=AT)
    path = letter_link(order)
    if dead == "revoked":
        tokens.revoke_links(order, at=AT)
    elif dead == "expired":
        CustomerLink.objects.update(expires_at=AT)
    else:
        path = f"/l/{tokens.new_token()}/"
    answer = client.get(path)
    assert answer.status_code == 404
    assert "A fresh link to your order" in answer.content.decode()
    assert order.code not in answer.content.decode()


def test_revoked_link_ends_an_open_window(bench: SimpleNamespace, client: Client) -> None:
    order = walk.request(at=AT)
    let_in(order, client)
    tokens.revoke_links(order, at=AT)
    assert client.get(f"/your/{order.code}/").status_code == 404


def test_cookie_of_another_order_gets_the_gentle_page(bench: SimpleNamespace, client: Client) -> None:
    mine, other = walk.request(at=AT), walk.request(at=AT, email="other.person@example.com", name="Other")
    let_in(mine, client)
    paper = other.papers.first()
    assert paper is not None
    for path in (f"/your/{other.code}/", f"/your/{other.code}/paper/{paper.pk}/"):
        answer = client.get(path)
        assert (answer.status_code, "fresh link" in answer.content.decode()) == (404, True)
    assert client.get(f"/your/{mine.code}/paper/{paper.pk}/").status_code == 404


def test_twenty_misses_a_minute_are_enough(bench: SimpleNamespace, client: Client) -> None:
    order = walk.request(at=AT)
    codes = [client.get(f"/l/{number}/").status_code for number in range(21)]
    assert codes == [404] * 20 + [429]
    assert client.get(letter_link(order)).status_code == 303, "a good link still opens"


def test_lost_link_answers_the_same_and_mails_only_a_match(bench: SimpleNamespace, client: Client) -> None:
    order = walk.request(at=AT)
    pages = {
        client.post("/lost-link/", {"code": order.code, "email": email}).content.split(b"<main")[1]
        for email in ("mara.ellwick@example.com", "somebody.else@example.com", "MARA.ELLWICK@example.com")
    }
    assert len(pages) == 1
    sent = Letter.objects.get(kind="fresh_link")
    assert sent.to == "mara.ellwick@example.com"
    assert "[[link]]" in sent.text


def test_lost_link_takes_as_long_for_a_miss_as_for_a_match(
    bench: SimpleNamespace, client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Both are held back to the same moment; how near they come is the machine's business, not a test's."""
    monkeypatch.setattr(doors, "SAME_TIME", 0.1)
    order, times = walk.request(at=AT), {}
    for email in ("mara.ellwick@example.com", "somebody.else@example.com"):
        times[email] = []
        for _ in range(5):
            began = time.perf_counter()
            client.post("/lost-link/", {"code": order.code, "email": email})
            times[email].append(time.perf_counter() - began)
    assert min(min(taken) for taken in times.values()) >= 0.1


def test_opening_a_link_gives_the_session_a_new_key(bench: SimpleNamespace, client: Client) -> None:
    first, second = walk.request(at=AT), walk.request(at=AT)
    let_in(first, client)
    planted = client.cookies["session"].value
    let_in(second, client)
    assert client.cookies["session"].value != planted
    assert client.get(f"/your/{first.code}/").status_code == 200


def test_window_asks_the_database_a_bounded_number_of_times(
    bench: SimpleNamespace, client: Client, django_assert_max_num_queries: Any
) -> None:
    order = walk.to(walk.request(at=AT), Station.HOME, by=bench.technician, at=AT)
    for number in range(20):
        questions.ask(order=order, text="Where is it?", form_key=f"q{number}", at=AT)
    let_in(order, client)
    with django_assert_max_num_queries(26):
        client.get(f"/your/{order.code}/")


def test_lost_link_keeps_what_was_typed(bench: SimpleNamespace, client: Client) -> None:
    answer = client.post("/lost-link/", {"code": "K7M4", "email": "mara"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="K7M4"' in page and 'value="mara"' in page
    assert "That is no order code of ours" in page


def test_lost_link_is_limited(bench: SimpleNamespace, client: Client) -> None:
    order = walk.request(at=AT)
    given = {"code": order.code, "email": "a@example.com"}
    codes = [client.post("/lost-link/", given).status_code for _ in range(11)]
    assert codes == [200] * 10 + [429]


SEEN = {
    Station.GOODS_IN: [
        "Your turn: post the device",
        "I have posted it",
        "Swollen, hot",
        "Call it off",
        "switch it off, take out SIM",
    ],
    Station.DIAGNOSIS: ["Our turn: we look for the fault", "It is safe in bag", "Sleeve"],
    Station.QUOTE: ["one fixed price", "We work out your price"],
    Station.GO_AHEAD: [
        "It can be mended for",
        "Your answer",
        "If the repair fails",
        "You thought: The microphone",
    ],
    Station.REPAIR: ["Our turn: it is being mended", "Mend it,"],
    Station.TEST: ["It is being tested", "tested last"],
    Station.GOODS_OUT: ["Your turn:", "to pay", "With the reference", "See the test sheet"],
    Station.WAY_HOME: ["The carrier&#x27;s turn", "LA473124829ZZ"],
    Station.HOME: ["It is mended and home.", "Warranty"],
}


@pytest.mark.parametrize("station", SEEN)
def test_window_at_each_station(bench: SimpleNamespace, client: Client, station: Station) -> None:
    order = walk.to(walk.request(at=AT), station, by=bench.technician, at=AT)
    page = page_of(order, client)
    for words in SEEN[station]:
        assert words in page
    assert page.count('aria-current="step"') == 1
    assert "3 Nowhere Lane" not in page and "mara.ellwick@example.com" not in page


@pytest.mark.parametrize("station", SEEN)
def test_looking_changes_nothing(bench: SimpleNamespace, client: Client, station: Station) -> None:
    order = walk.to(walk.request(at=AT), station, by=bench.technician, at=AT)
    let_in(order, client)
    before = everything(order)
    for act in ("", "posted/", "withdraw/", "ask/", "stop/", "answer/"):
        client.get(f"/your/{order.code}/{act}")
        client.head(f"/your/{order.code}/{act}")
    assert everything(order) == before


def test_finding_is_not_told_before_the_price(bench: SimpleNamespace, client: Client) -> None:
    order = walk.to(walk.request(at=AT), Station.QUOTE, by=bench.technician, at=AT)
    assert "where a pad was lifted" not in page_of(order, client)


def test_posted_is_noted_once_with_its_tracking(bench: SimpleNamespace, client: Client) -> None:
    order = walk.request(at=AT)
    let_in(order, client)
    for tracking in ("LA473124829ZZ", "other"):
        assert client.post(f"/your/{order.code}/posted/", {"tracking": tracking}).status_code == 303
    order.refresh_from_db()
    assert (order.posted_at, order.inbound_tracking) == (AT, "LA473124829ZZ")
    assert "you posted it on" in page_of(order, client)


def test_long_tracking_number_is_refused_and_kept(bench: SimpleNamespace, client: Client) -> None:
    order = walk.request(at=AT)
    answer = let_in(order, client).post(f"/your/{order.code}/posted/", {"tracking": "9" * 41})
    assert answer.status_code == 422
    assert "9" * 41 in answer.content.decode()
    assert "at most 40" in answer.content.decode()


def test_request_can_be_called_off_until_it_is_taken_in(bench: SimpleNamespace, client: Client) -> None:
    order = walk.request(at=AT)
    let_in(order, client)
    old = {"version": order.version}
    walk.receive(order, by=bench.technician, at=AT)
    late = client.post(f"/your/{order.code}/withdraw/", old)
    assert (late.status_code, "has moved on" in late.content.decode()) == (409, True)
    second = walk.request(at=AT)
    let_in(second, client)
    assert client.post(f"/your/{second.code}/withdraw/", {"version": second.version}).status_code == 303
    assert "This request is called off" in page_of(second, client)
    assert Letter.objects.filter(order=second, kind="withdrawn").count() == 1


def test_question_is_asked_once_and_decides_nothing(bench: SimpleNamespace, client: Client) -> None:
    order = walk.to(walk.request(at=AT), Station.GO_AHEAD, by=bench.technician, at=AT)
    let_in(order, client)
    given = {"form_key": "k1", "text": "Will my photos be safe?"}
    for _ in range(2):
        assert client.post(f"/your/{order.code}/ask/", given).status_code == 303
    order.refresh_from_db()
    assert Message.objects.filter(order=order).count() == 1
    assert order.station == Station.GO_AHEAD and not hasattr(order.quotes.get(), "decision")
    page = page_of(order, client)
    assert "Will my photos be safe?" in page and "you asked us something" in page
    assert "Continue" in page, "the quote stays open"
    assert "You can answer the quote meanwhile." in page
    questions.answer(order=order, text="They should be.", form_key="a1", by=bench.technician, at=AT)
    assert "our quote waits" in page_of(order, client)


@pytest.mark.parametrize(("text", "sentence"), [("  ", "write your message"), ("x" * 4001, "under 4000")])
def test_bad_question_is_said_beside_the_field(
    bench: SimpleNamespace, client: Client, text: str, sentence: str
) -> None:
    order = walk.request(at=AT)
    answer = let_in(order, client).post(f"/your/{order.code}/ask/", {"form_key": "k", "text": text})
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert text in answer.content.decode()


def test_markup_of_others_stays_text(bench: SimpleNamespace, client: Client) -> None:
    order = walk.request(at=AT, words="<script>alert(1)</script>", idea="<b>x</b>", model="<i>Z7</i>")
    page = page_of(order, client)
    assert "<script>alert" not in page and "<b>x</b>" not in page and "<i>Z7" not in page


def test_slip_is_told_in_the_customers_words(bench: SimpleNamespace, client: Client) -> None:
    order = walk.to(walk.request(at=AT), Station.REPAIR, by=bench.technician, at=AT)
    lifecycle.hold(
        order, reason=SlipReason.PART, by=lifecycle.CLOCK, at=AT, note="WIRE-002: 1 wanted, 0 free"
    )
    page = page_of(order, client)
    assert "A part for your repair is on order" in page
    assert "WIRE-002" not in page


def test_declined_order_shows_no_repair(bench: SimpleNamespace, client: Client) -> None:
    order = walk.to(walk.request(at=AT), Station.GO_AHEAD, by=bench.technician, at=AT)
    walk.answer(order, choice="back", at=AT)
    page = page_of(order, client)
    assert "It goes back as it came" in page
    assert 'id="station-60"' not in page and 'id="station-70"' not in page


def test_nothing_to_offer_is_told_with_the_finding(bench: SimpleNamespace, client: Client) -> None:
    order = walk.to(walk.request(at=AT), Station.DIAGNOSIS, by=bench.technician, at=AT)
    walk.find(order, by=bench.technician, at=AT, mendable="no", words="The board is split in two.")
    page = page_of(order, client)
    assert "The board is split in two." in page and "We could not mend it" in page


def test_recycled_order_says_so_to_its_end(bench: SimpleNamespace, client: Client) -> None:
    order = walk.to(walk.request(at=AT), Station.GO_AHEAD, by=bench.technician, at=AT)
    walk.answer(order, choice="recycle", at=AT)
    assert "we wipe it" in page_of(order, client)
    out.recycle(order=order, seen_version=order.version, method="Destroyed", by=bench.technician, at=AT)
    order.refresh_from_db()
    assert "It is wiped and recycled." in page_of(order, client)


def test_own_paper_comes_as_a_sealed_download(
    bench: SimpleNamespace, client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    order = walk.request(at=AT)
    paper = order.papers.get(maker="shipping_form")
    monkeypatch.setattr("shop.window.files.paper_files.content", lambda row, at: b"%PDF-1.7")
    answer = let_in(order, client).get(f"/your/{order.code}/paper/{paper.pk}/")
    assert answer.headers["Content-Type"] == "application/pdf"
    assert "sandbox" in answer.headers["Content-Security-Policy"]
    assert answer.headers["Cross-Origin-Resource-Policy"] == "same-origin"
    Paper.objects.filter(pk=paper.pk).update(for_customer=False)
    assert client.get(f"/your/{order.code}/paper/{paper.pk}/").status_code == 404


def test_customer_helper_raises_without_a_link(bench: SimpleNamespace, rf: Any) -> None:
    request = rf.get("/")
    request.session = {}
    with pytest.raises(access.LinkGone):
        access.order_for_link(request, walk.request(at=AT).code)
