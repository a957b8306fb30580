"""The head of the customer's page: what they can do now, with the sum, and a way down to it."""

from types import SimpleNamespace

import pytest
from django.test import Client

from intake import questions
from intake.models import Order
from intake.stations import Station
from quotes.models import QuoteEnd
from tests import walk
from tests.window_pages import AT, page_of, said, several_ways

ASKED = "Our turn: you asked us something, and we will answer."


def head_of(order: Order, client: Client) -> str:
    page = page_of(order, client)
    return page[page.index('class="stub"') : page.index("</header>", page.index('class="stub"'))]


def asked(order: Order) -> Order:
    questions.ask(order=order, text="Will my photos be safe?", form_key="q1", at=AT)
    return order


def test_open_quote_gives_its_sum_and_leads_to_the_answers(bench: SimpleNamespace, client: Client) -> None:
    order = walk.to(walk.request(at=AT), Station.GO_AHEAD, by=bench.technician, at=AT)
    head = head_of(order, client)
    assert 'href="#here">$112.32 in all: read it and answer</a>' in head
    assert 'href="#here">$112.32 in all' in head_of(asked(order), client)


def test_several_ways_are_not_hidden_behind_the_first(bench: SimpleNamespace, client: Client) -> None:
    order = walk.to(walk.request(at=AT), Station.GO_AHEAD, by=bench.technician, at=AT)
    several_ways(order)
    assert "Mend it, $120.00 in all, or another way: read it and answer" in said(head_of(order, client))


def test_bill_gives_its_sum_and_leads_to_how_to_pay(bench: SimpleNamespace, client: Client) -> None:
    order = walk.to(walk.request(at=AT), Station.GOODS_OUT, by=bench.technician, at=AT)
    assert 'href="#here">$112.32: see how to pay</a>' in head_of(order, client)


@pytest.mark.parametrize("station", [Station.GOODS_IN, Station.DIAGNOSIS, Station.REPAIR, Station.WAY_HOME])
def test_nothing_to_decide_or_pay_leads_nowhere(
    bench: SimpleNamespace, client: Client, station: Station
) -> None:
    order = walk.to(walk.request(at=AT), station, by=bench.technician, at=AT)
    assert "#here" not in head_of(order, client)


def test_question_does_not_hide_the_open_quote(bench: SimpleNamespace, client: Client) -> None:
    order = asked(walk.to(walk.request(at=AT), Station.GO_AHEAD, by=bench.technician, at=AT))
    words = f"{ASKED} Nothing is decided by asking. You can answer the quote meanwhile."
    assert words in said(head_of(order, client))


def test_question_on_a_lapsed_quote_promises_no_answer(bench: SimpleNamespace, client: Client) -> None:
    order = asked(walk.to(walk.request(at=AT), Station.GO_AHEAD, by=bench.technician, at=AT))
    QuoteEnd.objects.create(quote=order.quotes.get(), why=QuoteEnd.Why.LAPSED, at=AT)
    head = said(head_of(order, client))
    assert ASKED in head and "meanwhile" not in head and "in all" not in head


def test_question_does_not_hide_what_is_to_pay(bench: SimpleNamespace, client: Client) -> None:
    order = asked(walk.to(walk.request(at=AT), Station.GOODS_OUT, by=bench.technician, at=AT))
    assert f"{ASKED} $112.32 is to pay." in said(head_of(order, client))


def test_question_does_not_hide_a_deposit(bench: SimpleNamespace, client: Client) -> None:
    order = walk.to(walk.request(at=AT), Station.GO_AHEAD, by=bench.technician, at=AT)
    several_ways(order)
    walk.answer(order, at=AT)
    head = said(head_of(asked(order), client))
    assert f"{ASKED} A deposit of $40.00 is to pay." in head and "$40.00: see how to pay" in head
