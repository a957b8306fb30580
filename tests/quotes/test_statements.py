"""Statements of the trade: what they say adds up, they are written once, and interest is said only when asked."""

import datetime as dt
from decimal import Decimal as D

import pytest

from intake import paper_files
from intake.models import HistoryEntry, Letter, Paper
from intake.stations import Station
from quotes import billing, payments, proof, statements, trade_accounts
from quotes.models import Rates, Statement, TradeAccount
from quotes.refusals import Refused
from quotes.trade_accounts import TermsGiven
from shop.demo.base import set_up_shop
from tests import walk

JANUARY, DECEMBER = dt.date(2026, 1, 1), dt.date(2025, 12, 1)


def day(month, number):
    return dt.datetime(2026 if month < 12 else 2025, month, number, 10, tzinfo=dt.UTC)


@pytest.fixture
def staff(db):
    return set_up_shop(at=day(12, 1))


@pytest.fixture
def owner(staff):
    return staff[0]


def billed(owner, at):
    """An order of the one trade customer that was billed then."""
    order = walk.to(walk.request(at=at), Station.GOODS_OUT, by=owner, at=at)
    trade_accounts.account_of(customer=order.customer, by=owner, at=at)
    return order


def paid(order, amount, owner, at):
    payments.record_payment(
        order=order, kind="transfer", amount=D(amount), key=f"{order.pk}{at}", by=owner, at=at
    )


def test_statement_lists_the_month_and_adds_up(owner):
    old, new = billed(owner, day(12, 10)), billed(owner, day(1, 12))
    assert old.customer == new.customer
    first, second = old.invoices.get(), new.invoices.get()
    paid(old, "50", owner, day(1, 15))
    billing.credit(invoice=second, why="Wrong terms", by=owner, at=day(1, 20))
    paid(new, "7", owner, day(2, 1))
    sheet = statements.sheet_of(old.customer, JANUARY)
    assert sheet.opening == first.total
    assert [(line.text, line.amount) for line in sheet.lines] == [
        ("Invoice", second.total),
        ("Payment", D(-50)),
        ("Credit note", -second.total),
    ]
    assert sheet.closing == first.total - 50 == sum(sheet.ages.values())
    assert [(bill.number, bill.left) for bill in sheet.bills] == [(first.number, first.total - 50)]
    assert sheet.ages["31 to 60"] == first.total - 50


def test_statement_is_written_once_with_a_number_a_paper_and_a_letter(owner, at):
    order = billed(owner, day(1, 12))
    made = [
        statements.send_statement(customer=order.customer, month=JANUARY, by=owner, at=at) for _ in range(3)
    ]
    assert len({row.pk for row in made}) == Statement.objects.count() == 1
    assert made[0].number == "STM-00001" and made[0].total == order.invoices.get().total
    letter = Letter.objects.get(kind="statement")
    paper = Paper.objects.get(maker="statement")
    assert letter.to == order.customer.email and list(letter.papers.all()) == [paper] and paper.order is None
    assert HistoryEntry.objects.filter(what="statement").count() == 1
    assert proof.prove() == []


def test_statement_stays_as_it_was_and_the_next_one_tells_of_what_came_between(owner, at):
    order = billed(owner, day(12, 10))
    statements.send_statement(customer=order.customer, month=DECEMBER, by=owner, at=day(1, 2))
    made = Statement.objects.get()
    before = dict(made.shown)
    # Booked late, on a day of December: the books were not closed.
    paid(order, "10", owner, day(12, 30))
    sheet = statements.sheet_of(order.customer, JANUARY)
    assert (sheet.opening, sheet.earlier, sheet.closing) == (made.total, D(-10), made.total - 10)
    statements.send_statement(customer=order.customer, month=JANUARY, by=owner, at=at)
    made.refresh_from_db()
    assert made.shown == before


def test_statement_of_a_running_month_or_of_nothing_is_refused(owner, at):
    order = billed(owner, day(1, 12))
    for month, sentence in [(dt.date(2026, 2, 1), "not over"), (DECEMBER, "nothing to state")]:
        with pytest.raises(Refused, match=sentence):
            statements.send_statement(customer=order.customer, month=month, by=owner, at=at)
    assert not Statement.objects.exists() and not Letter.objects.filter(kind="statement").exists()


def test_statement_of_a_consumer_or_by_a_technician_is_refused(owner, staff, at):
    order = billed(owner, day(1, 12))
    with pytest.raises(Refused, match="Only the owner"):
        statements.send_statement(customer=order.customer, month=JANUARY, by=staff[1], at=at)
    trade_accounts.end_terms(customer=order.customer, by=owner, at=at)
    with pytest.raises(Refused, match="of the trade"):
        statements.send_statement(customer=order.customer, month=JANUARY, by=owner, at=at)


@pytest.mark.parametrize("say", [True, False])
def test_interest_is_proposed_and_said_only_when_asked_and_never_in_the_sum(owner, at, say):
    rates = Rates.current()
    rates.pk, rates.version, rates.interest_percent = None, rates.version + 1, D("8.5")
    rates.save(force_insert=True)
    order = billed(owner, day(12, 2))
    sheet = statements.sheet_of(order.customer, JANUARY)
    late = (sheet.until - order.invoices.get().due).days
    assert late > 0 and sheet.interest[0].days == late and sheet.interest_sum == sheet.interest[0].by_day > 0
    made = statements.send_statement(
        customer=order.customer, month=JANUARY, say_interest=say, by=owner, at=at
    )
    assert made.total == order.invoices.get().total
    assert made.shown["interest"] == ({"percent": "8.500", "sum": str(sheet.interest_sum)} if say else None)
    text = words(made)
    assert ("Interest on what is late" in text) == say


def words(statement):
    import pypdfium2

    pdf = paper_files.content(Paper.objects.get(key=f"statement:{statement.pk}"), at=statement.at)
    document = pypdfium2.PdfDocument(pdf)
    return " ".join(" ".join(page.get_textpage().get_text_range() for page in document).split())


def test_paper_says_every_amount_of_a_hundred_and_twenty_lines(owner, at, monkeypatch):
    order = billed(owner, day(1, 12))
    for number in range(120):
        payments.record_payment(
            order=order, kind="transfer", amount=D("0.01"), key=f"many{number}", by=owner, at=day(1, 15)
        )
    made = statements.send_statement(customer=order.customer, month=JANUARY, by=owner, at=at)
    text = words(made)
    assert made.number in text and text.count("Payment") == 120
    assert f"Owed: ${made.total}" in text and "0 to 30" in text


def test_terms_are_the_owners_and_told_in_the_history(owner, staff, at):
    customer = walk.request(at=at).customer
    with pytest.raises(Refused, match="Only the owner"):
        trade_accounts.set_terms(customer=customer, given=TermsGiven(), by=staff[1], at=at)
    with pytest.raises(Refused, match="which certificate"):
        trade_accounts.set_terms(
            customer=customer, given=TermsGiven(certificate_until=at.date()), by=owner, at=at
        )
    given = TermsGiven(tax_number="ZZ-1", on_account=False)
    assert trade_accounts.set_terms(customer=customer, given=given, by=owner, at=at) is not None
    assert trade_accounts.set_terms(customer=customer, given=given, by=owner, at=at) is None
    customer.refresh_from_db()
    assert customer.trade and not TradeAccount.objects.get().on_account
    assert HistoryEntry.objects.filter(what="trade terms set").count() == 1
