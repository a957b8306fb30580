"""A second fault at 60: both, the first alone, no answer, or a stop; each ends with the money that was told."""

import datetime as dt
from decimal import Decimal

import pytest

from intake.models import Order
from intake.stations import Outcome, Station
from quotes import drafts, offers, payments, stock
from quotes.diagnosis import Found
from quotes.models import Move
from quotes.proof import prove
from shop.bench import repair
from shop.demo import steps
from tests import walk

SECOND = Found(fault_class="driver chip", words="The light stays dark too.", mendable="yes")


@pytest.fixture
def order(bench, at):
    """At 50 for the second time: 112.32 is agreed for the first job, 40 more is asked for the second."""
    order = walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)
    repair.second_fault(
        order=order, seen_version=order.version, found=SECOND, key="s", by=bench.technician, at=at
    )
    order = Order.objects.get(pk=order.pk)
    more = [
        {"kind": "labour", "text": "The light's driver", "minutes": 30, "quantity": "1", "price": "40.00"}
    ]
    lines = steps.lines_of(["Fit jumper wire"], ["WIRE-002"], more=more)
    walk.quote(order, by=bench.technician, at=at, lines=lines)
    return order


def totals(order):
    return {quote.revision: quote.total for quote in order.quotes.all()}


def to_home(order, bench, at):
    return walk.to(Order.objects.get(pk=order.pk), Station.HOME, by=bench.technician, at=at)


def test_both_are_mended_and_billed_as_one(order, bench, at, kinds):
    walk.answer(order, at=at)
    order = to_home(order, bench, at)
    assert order.invoices.get().total == totals(order)[2] == totals(order)[1] + 40
    assert kinds(order)[-6:] == ["quote", "agreed", "mended", "paid", "on_its_way", "home"]
    assert Move.objects.filter(order=order, kind="consume").count() == 1 and prove() == []


def test_first_alone_is_mended_at_its_own_price(order, bench, at, kinds):
    walk.answer(order, choice="first", at=at)
    assert sum(stock.set_aside(order).values()) == 1, "the parts of the first job stay aside"
    order = to_home(order, bench, at)
    assert order.invoices.get().total == totals(order)[1]
    assert kinds(order)[-5:] == ["first_only", "mended", "paid", "on_its_way", "home"]
    assert order.outcome == Outcome.FIXED and prove() == []


def test_no_answer_leaves_the_first_job_as_it_was_agreed(order, bench, at, kinds):
    """Silence decides nothing: the quote lapses, the parts stay aside, and it is asked once more."""
    late = order.quotes.get(revision=2).valid_until + dt.timedelta(minutes=1)
    assert offers.lapse(quote=order.quotes.get(revision=2), at=late)
    assert sum(stock.set_aside(order).values()) == 1 and not order.invoices.exists()
    order.refresh_from_db()
    offers.reopen(order=order, seen_version=order.version, by=bench.technician, at=late)
    draft = drafts.draft_of(order, at=late)
    offers.send(
        order=order, seen_version=order.version, seen_draft=draft.version, by=bench.technician, at=late
    )
    order.refresh_from_db()
    walk.answer(order, choice="first", at=late)
    order = to_home(order, bench, late)
    assert order.invoices.get().total == totals(order)[1]
    assert kinds(order)[-7:] == [
        "quote_lapsed",
        "quote",
        "first_only",
        "mended",
        "paid",
        "on_its_way",
        "home",
    ]
    assert prove() == []


def test_customer_who_wants_nothing_more_pays_what_was_told(order, bench, at, kinds):
    """The first job stands until somebody ends it: then the post alone is owed, and its parts are free."""
    walk.answer(order, choice="first", at=at)
    order = Order.objects.get(pk=order.pk)
    words = "You asked us to stop. Nothing is mended."
    repair.no_fix(order=order, seen_version=order.version, words=words, by=bench.technician, at=at)
    order = Order.objects.get(pk=order.pk)
    assert payments.balance(order) == Decimal("12.00") and stock.set_aside(order) == {}
    order = to_home(order, bench, at)
    assert kinds(order)[-5:] == ["first_only", "no_fix", "paid", "on_its_way", "home"]
    assert order.outcome == Outcome.NO_FIX and prove() == []
