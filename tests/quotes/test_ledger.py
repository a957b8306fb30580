"""The journal: one door, two equal sides, numbers without gaps, days that are closed for good."""

import datetime as dt
import importlib
from decimal import Decimal

import pytest
from django.apps import apps
from django.db import DatabaseError, transaction

from intake.models import HistoryEntry, Letterhead
from quotes import billing, ledger, payments
from quotes.ledger_maths import Leg
from quotes.models import Account, Closing, Entry, NumberSeries, Posting
from quotes.refusals import Refused
from tests.quotes.money_orders import agreed, billed, paid

D = Decimal
DAY = dt.date(2026, 2, 2)
NEXT = dt.timedelta(days=1)


@pytest.fixture
def quote(rates, technician, at, remedy, part):
    return agreed(by=technician, at=at, remedy=remedy, part=part)


def post(at, key="k", postings=None, **other):
    legs = postings or [Leg("bank", "", D("5.00")), Leg("receivable", "", D("-5.00"))]
    return ledger.post(
        key=key, what="payment", text="x", postings=legs, at=at, by="tarn", currency="USD", **other
    )


def test_accounts_are_those_that_the_arithmetic_names():
    named = {
        "bank",
        "cash",
        "card",
        "receivable",
        "deposits",
        "held",
        "tax",
        "revenue",
        "rounding",
        "write_off",
        "fees",
    }
    assert named <= set(Account.values)


def test_walk_of_an_order_leaves_these_balances(quote, technician, at):
    paid(quote.order, "30", by=technician, at=at, purpose="deposit")
    billed(quote, by=technician, at=at)
    paid(quote.order, "82.32", by=technician, at=at, fee=D("2.50"))
    assert ledger.balances() == {
        ("card", ""): D("109.82"),
        ("fees", ""): D("2.50"),
        ("revenue", "labour"): D(-96),
        ("revenue", "part"): D(-4),
        ("revenue", "post"): D(-12),
        ("tax", "S 8"): D("-0.32"),
    }
    assert [(entry.number, entry.what) for entry in ledger.journal()] == [
        (1, "deposit"),
        (2, "invoice"),
        (3, "payment"),
    ]
    assert Entry.objects.get(what="invoice").document == "INV-00001"


def test_credit_note_and_refund_bring_everything_back_to_nought(quote, technician, at):
    invoice = billed(quote, by=technician, at=at)
    paid(quote.order, "112.32", by=technician, at=at, kind="transfer")
    billing.credit(invoice=invoice, why="Goodwill", by=technician, at=at)
    payments.refund(
        order=quote.order, kind="transfer", amount=D("112.32"), key="r", by=technician, at=at, note=""
    )
    assert ledger.balances() == {}
    assert [entry.what for entry in ledger.journal()] == ["invoice", "payment", "credit note", "refund"]


def test_same_key_is_booked_once(letterhead, at):
    assert post(at) == post(at, postings=[Leg("bank", "", D(9)), Leg("cash", "", D(-9))])
    assert (Entry.objects.count(), NumberSeries.objects.get(kind="entry").next) == (1, 2)


@pytest.mark.parametrize(
    "legs",
    [
        [Leg("bank", "", D(5)), Leg("receivable", "", D("-4.99"))],
        [Leg("bank", "", D(0)), Leg("receivable", "", D(0))],
        [Leg("bank", "", D("0.001")), Leg("receivable", "", D("-0.001"))],
        [Leg("purse", "", D(5)), Leg("receivable", "", D(-5))],
        [Leg("bank", "", D(0))],
    ],
)
def test_entry_that_is_none_is_not_booked_and_takes_no_number(letterhead, at, legs):
    with pytest.raises(ValueError):
        post(at, postings=legs)
    assert not Entry.objects.exists()
    assert not NumberSeries.objects.exists()


def test_number_is_given_back_with_the_transaction(letterhead, at):
    with pytest.raises(RuntimeError), transaction.atomic():
        post(at)
        raise RuntimeError
    assert post(at).number == 1


def test_day_is_that_of_the_shops_calendar(letterhead):
    late = dt.datetime(2026, 2, 2, 23, 30, tzinfo=dt.UTC)
    assert post(late).day == DAY
    Letterhead.objects.filter(pk=letterhead.pk).update(zone="Europe/Berlin")
    assert post(late, key="k2").day == DAY + NEXT


def test_journal_and_balances_end_with_the_day(letterhead, at):
    post(at)
    post(at + NEXT, key="k2")
    assert [entry.key for entry in ledger.journal(DAY + NEXT)] == ["k2"]
    assert [entry.key for entry in ledger.journal(None, DAY)] == ["k"]
    assert ledger.balances(DAY)["bank", ""] == D(5)
    assert ledger.balances()["bank", ""] == D(10)
    assert ledger.balances(currency="EUR") == {}


def test_closed_day_takes_nothing_more_and_the_next_one_does(quote, owner, technician, at):
    billed(quote, by=technician, at=at)
    closing = ledger.close(upto=DAY, by=owner, at=at + NEXT)
    assert (closing.last_entry, closing.sums["receivable"], closing.sums["tax S 8"]) == (1, "112.32", "-0.32")
    assert HistoryEntry.objects.get(what="books closed").facts["last_entry"] == 1
    with pytest.raises(
        Refused, match="closed up to Mon 2 February 2026. Nothing can be booked on Mon 2 February 2026"
    ):
        paid(quote.order, "5", by=technician, at=at)
    assert not quote.order.payments.exists()
    paid(quote.order, "5", by=technician, at=at + NEXT)
    assert ledger.closed_upto() == DAY


def test_close_of_a_day_that_is_not_over_or_closed_or_by_the_technician_is_refused(
    quote, owner, technician, at
):
    with pytest.raises(Refused, match="when it is over") as refused:
        ledger.close(upto=DAY, by=owner, at=at)
    assert refused.value.field == "upto"
    with pytest.raises(Refused, match="Only the owner"):
        ledger.close(upto=DAY, by=technician, at=at + NEXT)
    ledger.close(upto=DAY, by=owner, at=at + NEXT)
    with pytest.raises(Refused, match="closed up to Mon 2 February 2026 already"):
        ledger.close(upto=DAY, by=owner, at=at + NEXT)
    assert Closing.objects.count() == 1


def test_books_that_do_not_add_up_are_not_closed(quote, owner, technician, at, monkeypatch):
    monkeypatch.setattr("quotes.proof.prove", lambda: ["Entry 1 is wrong."])
    with pytest.raises(Refused, match="nothing was closed. Entry 1 is wrong"):
        ledger.close(upto=DAY, by=owner, at=at + NEXT)
    assert not Closing.objects.exists()


def test_entry_and_posting_refuse_every_change(letterhead, at):
    post(at)
    for change in (lambda: Entry.objects.update(number=9), lambda: Posting.objects.update(amount=1)):
        with pytest.raises(DatabaseError, match="only ever added"), transaction.atomic():
            change()


def forget_the_journal(behind):
    for model in (Posting, Entry):
        behind(model, lambda model=model: model.objects.all()._raw_delete("default"))
    NumberSeries.objects.filter(kind="entry").delete()


def test_shop_from_before_the_journal_gets_the_same_books(quote, technician, at, behind):
    invoice = billed(quote, by=technician, at=at)
    paid(quote.order, "120", by=technician, at=at, fee=D("1.50"), kind="transfer")
    billing.credit(invoice=invoice, why="Goodwill", by=technician, at=at)
    payments.refund(order=quote.order, kind="cash", amount=D(120), key="r", by=technician, at=at, note="")
    before = ledger.balances()
    texts = sorted(Entry.objects.values_list("key", "what", "text", "document", "day"))
    forget_the_journal(behind)
    book = importlib.import_module("quotes.migrations.0005_book_what_was").book
    book(apps, None)
    assert ledger.balances() == before
    assert sorted(Entry.objects.values_list("key", "what", "text", "document", "day")) == texts
    assert [entry.number for entry in ledger.journal()] == [1, 2, 3, 4]
    book(apps, None)
    assert Entry.objects.count() == 4
    assert post(at).number == 5
