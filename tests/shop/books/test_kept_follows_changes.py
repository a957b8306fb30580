"""A kept line follows what changes after its order has left, and the lists its words come from."""

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import pytest
from django.test import Client

from intake import house
from intake.models import Letterhead, Order
from intake.stations import Station
from quotes import trade_accounts, word_changes
from quotes.models import Remedy
from quotes.trade_accounts import TermsGiven
from shop.books.gather import open_books
from shop.books.recount import recount
from shop.models import BookLine
from tests import walk

AT = datetime(2026, 2, 2, 9, 0, tzinfo=UTC)
LATER = AT + timedelta(days=3)


@pytest.fixture
def sent(bench: SimpleNamespace) -> Order:
    return walk.to(walk.request(at=AT), Station.WAY_HOME, by=bench.owner, at=AT)


def test_customer_made_one_of_the_trade_afterwards(sent: Order, bench: SimpleNamespace) -> None:
    customer = sent.customer
    assert customer is not None
    trade_accounts.set_terms(customer=customer, given=TermsGiven(), by=bench.owner, at=LATER)
    assert BookLine.objects.get(order=sent).trade
    assert recount().faults == []
    trade_accounts.end_terms(customer=customer, by=bench.owner, at=LATER)
    assert not BookLine.objects.get(order=sent).trade
    assert recount().faults == []


def test_line_of_another_currency_keeps_its_own_digits(sent: Order, bench: SimpleNamespace) -> None:
    """The shop goes over to yen; a device of before comes home, and its dollars stay dollars."""
    before = BookLine.objects.get(order=sent)
    assert before.billed > 0
    Letterhead.objects.update(currency="JPY")
    house.forget_house()
    sent.refresh_from_db()
    walk.deliver(sent, by=bench.owner, at=LATER)
    after = BookLine.objects.get(order=sent)
    assert after.home > 0
    assert (after.billed, after.post, after.bench, after.quoted) == (
        before.billed, before.post, before.bench, before.quoted,
    )  # fmt: skip


def test_merged_remedy_counts_under_the_one_that_stays(sent: Order, bench: SimpleNamespace) -> None:
    double = Remedy.objects.get(name=BookLine.objects.get(order=sent).remedy)
    stays = Remedy.objects.exclude(pk=double.pk).order_by("pk")[0]
    word_changes.merge_remedy(remedy=double, into=stays, by=bench.owner, at=LATER)
    (line,) = open_books("all", at=LATER).lines
    assert line.remedy == stays.name
    word_changes.take_remedy_back(remedy=double, by=bench.owner, at=LATER)
    (line,) = open_books("all", at=LATER).lines
    assert line.remedy == double.name


def test_remedy_with_another_name_takes_it_into_the_books(sent: Order, bench: SimpleNamespace) -> None:
    remedy = Remedy.objects.get(name=BookLine.objects.get(order=sent).remedy)
    desk = Client()
    desk.force_login(bench.owner)
    address = f"/settings/remedies/{remedy.pk}/"
    typed = {
        "name": "Run a wire",
        "plain": remedy.plain,
        "minutes": remedy.minutes,
        "steps": "\n".join(remedy.steps),
    }
    answer = desk.post(address, {**typed, "active": "on"})
    assert answer.status_code == 303
    assert Remedy.objects.get(pk=remedy.pk).name == BookLine.objects.get(order=sent).remedy == "Run a wire"
    assert recount().faults == []
