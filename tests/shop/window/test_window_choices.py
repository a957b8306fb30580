"""Several choices on one quote: what the customer reads, ticks, reads back and signs."""

import re
from html import unescape
from types import SimpleNamespace

import pytest
from django.test import Client

from intake.models import Order
from intake.stations import Station
from quotes.models import Decision, Quote
from tests import walk
from tests.window_pages import AT, everything, let_in, page_of, read_back, said, several_ways, sign


@pytest.fixture
def order(bench: SimpleNamespace) -> Order:
    return walk.to(walk.request(at=AT), Station.GO_AHEAD, by=bench.technician, at=AT)


@pytest.fixture
def quote(order: Order) -> Quote:
    return several_ways(order)


@pytest.mark.parametrize(
    "words",
    [
        "Mend it , $120.00", "Save the data only , $140.00", "Clean it, without a promise , $60.00",
        "Done by Thu 12 February", "Done by Thu 5 February", "Chance Even. It depends on what still answers.",
        "Your data It comes home on a stick.", "If it fails You pay $60.00 and no more. Cleaning is owed whether it helps or not.",
        "If the repair fails You pay $12.00 and no more", "Warranty None beyond your rights by law.",
        "Front film, $19.00 more", "Friends of the shop taken off the price -$5.00",
        "No tax on $15.00: the post abroad is exempt", "Deposit Before we order the part we ask for $40.00.",
        "I have a question first", "What has changed since quote 1", "New socket and its line $96.00 $120.00 +$24.00",
        "Friends of the shop not on it -$5.00 -$5.00", "Wire $4.00 no longer on it -$4.00", "Together +$15.00",
    ],
)  # fmt: skip
def test_window_says_of_each_choice(order: Order, quote: Quote, client: Client, words: str) -> None:
    assert words in said(page_of(order, client))


def test_nothing_is_ticked_before(order: Order, quote: Quote, client: Client) -> None:
    page = page_of(order, client)
    assert page.count('name="extras"') == 3 and "checked" not in page
    for choice in ("mend", "data", "clean", "recycle"):
        assert "checked" not in read_back(client, quote, choice).content.decode()


@pytest.mark.parametrize(
    ("choice", "extras", "button"),
    [
        ("mend", (), "Yes, mend it for $120.00"), ("mend", ("mend:e1",), "Yes, mend it for $139.00"),
        ("mend", ("mend:e2", "mend:e1"), "Yes, mend it for $150.02"), ("data", (), "Yes, save the data for $140.00"),
        ("clean", ("clean:e2",), "Yes, clean it without a promise for $71.01"),
        ("clean", ("mend:e1",), "Yes, clean it without a promise for $60.00"),
    ],
)  # fmt: skip
def test_exact_total_stands_on_the_button(
    order: Order, quote: Quote, client: Client, choice: str, extras: tuple[str, ...], button: str
) -> None:
    before = everything(order)
    page = read_back(let_in(order, client), quote, choice, *extras)
    assert f">{button}</button>" in page.content.decode()
    assert everything(order)[:3] == before[:3]


def test_read_back_adds_up_and_says_what_is_not_taken(order: Order, quote: Quote, client: Client) -> None:
    words = said(read_back(let_in(order, client), quote, "mend", "mend:e1"))
    assert "Without extras $120.00 Front film, tax counted in $19.00 One fixed price, all in $139.00" in words
    assert "With it Front film, $19.00 more" in words and "Not with it Clean the vents" in words
    assert "Deposit: Before we order the part we ask for $40.00." in words
    assert "It comes back if the part cannot be had." in words


def test_line_of_an_extra_is_no_part_of_the_price_without_it(
    order: Order, quote: Quote, client: Client
) -> None:
    words = said(read_back(let_in(order, client), quote, "mend"))
    assert "New socket and its line $120.00" in words and "Front film $19.00" not in words
    assert "Without extras" not in words


def test_choice_without_a_part_asks_for_no_deposit(order: Order, quote: Quote, client: Client) -> None:
    assert "Deposit" not in said(read_back(let_in(order, client), quote, "data"))


def test_way_back_keeps_what_was_picked(order: Order, quote: Quote, client: Client) -> None:
    page = read_back(let_in(order, client), quote, "mend", "mend:e1").content.decode()
    way = re.search(r'href="(/your/[^"#]*)#station-50"', page)
    assert way is not None
    kept = client.get(unescape(way[1])).content.decode()
    assert len(re.findall(r"<input[^>]* checked", kept)) == 2
    assert re.search(r'value="mend:e1"[^>]* checked', kept) and re.search(r'value="mend"[^>]* checked', kept)


def test_answer_is_written_with_its_extras_and_its_exact_total(
    order: Order, quote: Quote, client: Client
) -> None:
    assert sign(let_in(order, client), quote, "mend", extras="e1,e2").status_code == 303
    decision = Decision.objects.get()
    assert (decision.extras, decision.button, str(decision.amount)) == (
        ["e1", "e2"], "Yes, mend it for $150.02", "150.020",
    )  # fmt: skip


@pytest.mark.parametrize("extras", ["e9", "e1,e9", "mend:e1"])
def test_extra_that_is_not_offered_decides_nothing(
    order: Order, quote: Quote, client: Client, extras: str
) -> None:
    refused = sign(let_in(order, client), quote, "mend", extras=extras)
    assert (refused.status_code, "extras is not offered" in said(refused)) == (409, True)
    assert not Decision.objects.exists()


def test_extra_of_nobody_is_said_beside_the_answers(order: Order, quote: Quote, client: Client) -> None:
    refused = read_back(let_in(order, client), quote, "mend", "mend:e9")
    assert (refused.status_code, "One of the extras is not offered" in said(refused)) == (422, True)


@pytest.mark.parametrize(
    ("choice", "ticks", "missing"),
    [
        ("clean", {}, "nothing is promised after the cleaning"),
        ("clean", {"no_promise": "on"}, "what is on it may be lost"),
        ("data", {}, "what is on it may be lost"),
    ],
)
def test_each_consent_is_asked_for_on_its_own(
    order: Order, quote: Quote, client: Client, choice: str, ticks: dict[str, str], missing: str
) -> None:
    refused = sign(let_in(order, client), quote, choice, **ticks)
    assert (refused.status_code, missing in said(refused)) == (422, True)
    assert not Decision.objects.exists()


def test_data_that_nobody_needs_is_not_at_stake(order: Order, quote: Quote, client: Client) -> None:
    Order.objects.filter(pk=order.pk).update(data_wish="no")
    assert "may be lost" not in said(read_back(let_in(order, client), quote, "data"))


def test_page_of_the_older_revision_leads_to_the_newer(order: Order, client: Client) -> None:
    old = order.quotes.get()
    newer = several_ways(order)
    answer = read_back(let_in(order, client), old, "mend")
    assert (answer.status_code, "There is a newer quote" in said(answer)) == (409, True)
    assert newer.digest in answer.content.decode() and "What has changed since quote 1" in said(answer)
