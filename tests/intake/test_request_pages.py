"""The request page by page: good and bad answers, back and forth, and what the sheet says of them."""

import datetime as dt
import html
from typing import Any

import pytest
import time_machine
from django.test import Client

from intake import drafting
from intake.models import Draft, Letter, Letterhead, Order
from tests.intake import request_walk as walk

START = dt.datetime(2026, 2, 2, 9, 0, tzinfo=dt.UTC)
pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def head(letterhead: Letterhead) -> Letterhead:
    letterhead.symptoms = ["No picture", "Does not charge"]
    letterhead.terms = "We look first."
    letterhead.storage_words = "Storage is free for 30 days, then 1.00 a day."
    letterhead.save()
    return letterhead


@pytest.fixture
def clock() -> Any:
    with time_machine.travel(START, tick=False) as moved:
        yield moved


def page(client: Client, slug: str) -> str:
    answer = client.get(walk.url(slug))
    assert answer.status_code == 200, (slug, answer.status_code, answer.headers.get("Location"))
    return html.unescape(answer.content.decode())


def text(answer: Any) -> str:
    return html.unescape(answer.content.decode())


def test_front_says_what_the_shop_does_and_where_to_begin(client: Client) -> None:
    words = text(client.get("/"))
    assert "Nothing to pay now" in words
    assert 'href="/request/"' in words
    assert "Do not post it" in words


def test_whole_request_becomes_one_order_with_every_answer(client: Client, clock: Any) -> None:
    walk.fill(client)
    clock.shift(60)
    answer = walk.finish(client)
    order = Order.objects.get()
    assert answer.headers["Location"] == f"/your/{order.code}/#top"
    assert client.session["windows"] == {order.code: order.links.get().pk}
    assert (order.device.kind, order.device.make, order.device.imei) == ("phone", "Zarnik", "001001000000015")
    assert (order.symptoms, order.words) == (["No picture"], "Rings but nobody hears me.")
    assert order.idea == "The microphone is blown"
    assert order.before == ["It got wet"]
    assert order.before_words == "Since when: since Sunday\nMy cousin opened it."
    assert (order.data_wish, order.backed_up, order.lock_wish) == ("needed", "no", "test without")
    assert order.in_the_box == ["The device", "Cable", "a note"]
    assert (str(order.declared_value), str(order.standing_limit)) == ("240.000", "120.500")
    assert order.cell_signs == []
    assert order.return_address and (order.return_address.area, order.return_address.country) == ("CA", "US")
    assert order.customer and order.customer.email == "mara.ellwick@example.com"
    assert order.terms_version == 1
    assert Letter.objects.filter(order=order, kind="request_received").count() == 1


def test_sent_request_is_said_once_to_who_sent_it_and_to_nobody_else(client: Client, clock: Any) -> None:
    walk.fill(client)
    clock.shift(60)
    window = walk.finish(client).headers["Location"].removesuffix("#top")
    sentence = (
        "Your request is in. A letter with your link and the form is on its way to mara.ellwick@example.com."
    )
    assert sentence in text(client.get(window))
    walk.finish(client)
    assert "Your request is in." not in text(client.get(window))
    stranger = Client().get(window)
    assert stranger.status_code == 404 and "mara.ellwick" not in text(stranger)


def test_get_of_any_page_changes_nothing(client: Client) -> None:
    for slug in walk.SLUGS:
        client.get(walk.url(slug))
    client.get("/request/")
    client.get("/request/do-not-post/")
    assert Draft.objects.count() == 0


def test_page_that_is_not_reached_yet_leads_to_the_first_open_one(client: Client) -> None:
    walk.fill(client, until="idea")
    assert client.get(walk.url("check")).headers["Location"] == "/request/idea/#here"
    assert client.get("/request/").headers["Location"] == "/request/idea/#here"
    assert client.get("/request/elsewhere/").status_code == 404


BAD = [
    ("device", {"kind": ""}, "Choose what kind of device it is."),
    ("device", {"kind": "toaster"}, "Select a valid choice"),
    ("device", {"make": "x" * 61}, "it has 61 characters, and the most is 60"),
    ("symptoms", {"symptoms": [], "words": " "}, "Tick what fits, or say it in your own words below."),
    ("symptoms", {"words": "w" * 10_000}, "it has 10,000 characters, and the most is 4,000"),
    ("idea", {"idea": "i" * 301}, "it has 301 characters"),
    ("before", {"before_words": "b" * 2001}, "it has 2,001 characters"),
    ("data", {"data_wish": ""}, "Say whether you need what is on it."),
    ("battery", {"signs": []}, "Tick what you see"),
    ("box", {"in_the_box": []}, "Tick at least one thing"),
    ("box", {"declared_value": "-5"}, "An amount cannot be below nought."),
    ("box", {"declared_value": "1,200"}, "can be read in two ways"),
    ("limit", {"standing_limit": "lots"}, "That is not an amount."),
    ("limit", {"standing_limit": "0"}, "above nought"),
    ("limit", {"standing_limit": "9" * 4000}, "too long for an amount"),
    ("you", {"name": ""}, "Type your name."),
    ("you", {"email": "mara@"}, "That is not a whole e-mail address."),
    ("you", {"street": ""}, "Type the street and number."),
    ("you", {"country": "XX"}, "Choose a country from the list."),
    ("you", {"area": "Nowhere"}, "choose one from the list"),
]


@pytest.mark.parametrize(("slug", "changes", "sentence"), BAD)
def test_bad_answer_gets_a_sentence_and_keeps_what_was_typed(
    client: Client, slug: str, changes: dict[str, Any], sentence: str
) -> None:
    walk.fill(client, until=slug)
    answer = walk.send(client, slug, **changes)
    words = text(answer)
    assert answer.status_code == 422
    assert sentence in words
    assert "<title>Error: " in words
    typed = next(iter(changes.values()))
    if isinstance(typed, str) and typed.strip() and slug != "device" and typed not in ("XX", "Nowhere"):
        assert typed in words
        assert typed in page(client, slug), "kept on the server too"
    assert client.get(walk.url("check")).headers["Location"] == f"/request/{slug}/#here"


def test_back_keeps_what_was_typed_and_asks_for_nothing(client: Client) -> None:
    walk.fill(client, until="symptoms")
    long = "half a sent" * 900
    answer = client.post(walk.url("symptoms"), {"act": "back", "words": long})
    assert answer.headers["Location"] == "/request/device/#here"
    assert long in page(client, "symptoms")


def test_going_back_and_forth_through_all_pages_loses_nothing(client: Client) -> None:
    walk.fill(client)
    for slug in reversed(walk.SLUGS):
        client.post(walk.url(slug), {"act": "back", **walk.GOOD.get(slug, {})})
    words = page(client, "check")
    for value in (
        "Zarnik Z7",
        "No picture",
        "Rings but nobody",
        "The microphone is blown",
        "since Sunday",
        "$120.50",
    ):
        assert value in words


def test_changed_answer_comes_straight_back_to_the_check(client: Client) -> None:
    walk.fill(client)
    assert 'name="return" value="1"' in text(client.get(walk.url("idea") + "?change=1"))
    answer = walk.send(client, "idea", idea="The battery", **{"return": "1"})
    assert answer.headers["Location"] == "/request/check/#here"
    assert "The battery" in page(client, "check")


def test_answers_said_so_far_stand_on_the_sheet_with_a_way_to_change_them(client: Client) -> None:
    walk.fill(client, until="idea")
    words = page(client, "idea")
    assert "Phone; Zarnik Z7; grey" in words
    assert 'href="/request/device/?change=1#here"' in words
    assert "Page 3 of 11" in words


def test_wrong_imei_warns_and_goes_on(client: Client) -> None:
    answer = walk.send(client, "device", imei="001001000000016")
    assert answer.status_code == 303
    assert "The check digit does not fit" in page(client, "symptoms")
    for slug in walk.SLUGS[1:-1]:
        walk.send(client, slug)
    words = page(client, "check")
    assert "Please look at this once more" in words
    assert "001001000000016" in words


def test_odd_postcode_warns_and_goes_on(client: Client) -> None:
    walk.fill(client, until="you")
    assert walk.send(client, "you", postcode="QB1 2ZZ").status_code == 303
    assert page(client, "check").count("It is kept as you typed it") == 1, (
        "the check says it, and no notice besides"
    )


def test_address_without_postcode_and_state_is_asked_for_once_and_taken(client: Client) -> None:
    walk.fill(client, until="you")
    assert walk.send(client, "you", postcode="", area="").status_code == 303
    assert page(client, "check").count("An address in United States has a ZIP Code.") == 1


def test_country_is_changed_without_script_and_brings_its_own_lines(client: Client) -> None:
    walk.fill(client, until="you")
    assert "Postcode" in page(client, "you")
    answer = client.post(walk.url("you"), {**walk.GOOD["you"], "country": "US", "act": "country"})
    assert answer.headers["Location"] == "/request/you/#id_country"
    words = page(client, "you")
    assert "ZIP Code" in words
    assert "3 Nowhere Lane" in words


@pytest.mark.parametrize("sign", ["swollen", "hot", "leaking", "hissing", "smelling", "punctured"])
def test_doubtful_battery_is_not_posted_and_the_draft_stays(client: Client, sign: str) -> None:
    walk.fill(client, until="battery")
    answer = walk.send(client, "battery", signs=[sign, "none"])
    assert answer.headers["Location"] == "/request/do-not-post/#top"
    words = text(client.get("/request/do-not-post/"))
    assert "Please do not post this device" in words
    assert "hazardous-waste" in words
    assert walk.finish(client).headers["Location"] == "/request/battery/#here"
    for slug in walk.SLUGS[6:-1]:
        walk.send(client, slug)
    walk.finish(client)
    assert Order.objects.count() == 0
    assert "Zarnik" in page(client, "battery")
    assert walk.send(client, "battery").status_code == 303
    assert client.get("/request/do-not-post/").headers["Location"] == "/request/battery/#here"


def test_unicode_names_and_hidden_signs(client: Client, clock: Any) -> None:
    walk.fill(client)
    name = "Żółw Ñandú 林小玲 مريم"
    walk.send(client, "you", name=f"{name}\u202e\x07")
    clock.shift(60)
    walk.finish(client)
    order = Order.objects.get()
    assert order.customer and order.customer.name == name


FUZZ = [
    "\x00",
    "a\x00b\x1b[31m",
    "\ud800".encode("utf-8", "surrogatepass"),
    "\u202e" * 50,
    "💥" * 3000,
    "<script>alert(1)</script>",
    "x" * 60_000,
    "٣٤",
    "%00",
    "{{ 7 }}",
]


@pytest.mark.parametrize("slug", walk.SLUGS)
@pytest.mark.parametrize("junk", FUZZ, ids=range(len(FUZZ)))
def test_junk_in_every_field_is_no_server_error(client: Client, slug: str, junk: Any) -> None:
    walk.fill(client, until=slug)
    names = [*walk.GOOD.get(slug, {"agreed": "", "terms_version": ""}), "act", "return", "draft", "photos"]
    answer = client.post(walk.url(slug), dict.fromkeys(names, junk))
    assert answer.status_code in (303, 422)
    assert "<script>alert(1)</script>" not in answer.content.decode()
    assert client.get(walk.url(slug)).status_code in (200, 302, 303)


def test_terms_must_be_ticked_and_be_the_version_that_was_shown(
    client: Client, clock: Any, head: Letterhead
) -> None:
    walk.fill(client)
    clock.shift(60)
    assert "Tick that you agree" in text(walk.finish(client, agreed=""))
    Letterhead.objects.create(
        version=2,
        since=START,
        name=head.name,
        street="x",
        city="y",
        country="GB",
        email="b@example.com",
        symptoms=head.symptoms,
    )
    answer = walk.finish(client)
    assert answer.status_code == 422
    assert "The terms were changed meanwhile" in text(answer)
    assert 'name="terms_version" value="2"' in text(answer)
    assert walk.finish(client, terms_version="2").headers["Location"].startswith("/your/")


def test_check_says_nothing_to_pay_and_what_can_cost_later(client: Client) -> None:
    walk.fill(client)
    words = page(client, "check")
    assert "Nothing to pay now." in words
    assert "Storage is free for 30 days, then 1.00 a day." in words
    assert "Terms, version 1" in words


def test_closed_shop_says_so(client: Client) -> None:
    Letterhead.objects.all().delete()
    assert client.get(walk.url("device")).status_code == 503
    assert drafting.done_steps(None) == set()
