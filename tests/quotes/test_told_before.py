"""What a quote told of every ending is what is billed, to the cent and on the shop's own day; no part is lost count of."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest

from intake.models import Address, Letterhead, Order
from quotes import billing, decisions, drafts, offers, stock
from quotes.agreed import agreed_no_fix_total
from quotes.decisions import Answer
from quotes.models import Invoice, Quote, Rates
from quotes.profile_text import to_plain
from quotes.proof import prove
from quotes.tax_profiles import new_york
from quotes.trade_accounts import TermsGiven, set_terms
from tests.bench_orders import at_quote, lines, send_quote

pytestmark = pytest.mark.usefixtures("rates")


def answer(quote, at, choice="mend", **other):
    given = Answer(choice, "Mara Ellwick", quote.digest, "Yes", **other)
    return decisions.decide(quote=quote, answer=given, at=at)


def test_recycling_is_billed_the_fee_that_the_quote_told(technician, at, remedy):
    Rates.objects.update(declined_fee=Decimal(15))
    quote = send_quote(at_quote(by=technician, at=at), lines(remedy), by=technician, at=at)
    decision = answer(quote, at, "recycle", consents=["wipe"])
    assert decision.amount == quote.recycle_total == Decimal(15)
    assert [line.text for line in Invoice.objects.get().lines.all()] == ["Diagnosis"]
    order = Order.objects.get(pk=quote.order_id)
    assert billing.balance(order) == Decimal(15)
    assert order.letters.get(kind="recycle").papers.count() == 2


def test_recycling_without_a_fee_is_not_billed(technician, at, remedy):
    quote = send_quote(at_quote(by=technician, at=at), lines(remedy), by=technician, at=at)
    answer(quote, at, "recycle", consents=["wipe"])
    assert not Invoice.objects.exists()


def test_line_owed_in_any_case_is_billed_after_a_no_fix(technician, at, remedy, part):
    medium = {
        "kind": "media",
        "text": "Disk for the data",
        "quantity": "2",
        "price": "20",
        "still_charged": True,
    }
    rows = lines(remedy, part)
    quote = send_quote(at_quote(by=technician, at=at), [*rows[:-1], medium, rows[-1]], by=technician, at=at)
    answer(quote, at)
    invoice = billing.bill_return(
        order=quote.order, rates=quote.rates, quote=quote, by=technician, at=at, why="no fix"
    )
    assert invoice.total == quote.no_fix_total == Decimal(52)
    assert [line.text for line in invoice.lines.all()] == ["Disk for the data", "Return post"]


def test_extra_that_was_taken_is_not_owed_after_a_no_fix(technician, at, remedy):
    """The sum that was told for a no fix is without extras; the sheet must be able to end."""
    wash = {"kind": "labour", "text": "Clean it", "quantity": "1", "price": "30", "choice": "clean"}
    polish = {**wash, "text": "Polish it", "price": "9", "extra": "e1", "extra_text": "Polish"}
    order = at_quote(by=technician, at=at)
    draft = drafts.draft_of(order, at=at)
    draft = drafts.save_draft(
        draft=draft, lines=[*lines(remedy), wash, polish], words="", promise=draft.promise, at=at,
        choices={"clean": {"on": True}},
    )  # fmt: skip
    quote = offers.send(
        order=order, seen_version=order.version, seen_draft=draft.version, by=technician, at=at
    )
    decision = answer(quote, at, "clean", extras=["e1"])
    invoice = billing.bill_return(
        order=quote.order, rates=quote.rates, quote=quote, by=technician, at=at, why="no fix"
    )
    assert decision.amount == Decimal(51)
    assert invoice.total == agreed_no_fix_total(decision) == Decimal(42)
    assert prove() == []


def test_tax_that_came_since_never_lifts_what_was_told(technician, owner, at, remedy):
    Rates.objects.update(declined_fee=Decimal(30), tax_rules=to_plain(new_york()))
    order = at_quote(by=technician, at=at)
    Address.objects.update(area="NY")
    set_terms(customer=order.customer, given=TermsGiven(certificate="C1"), by=owner, at=at)
    quote = send_quote(Order.objects.get(pk=order.pk), lines(remedy), by=technician, at=at)
    set_terms(customer=order.customer, given=TermsGiven(), by=owner, at=at)
    answer(Quote.objects.get(pk=quote.pk), at, "back")
    invoice = Invoice.objects.get()
    assert quote.back_total == Decimal(42)
    assert (invoice.total, invoice.net, invoice.tax) == (Decimal("41.99"), Decimal("40.84"), Decimal("1.15"))
    assert prove() == []


def test_due_day_is_counted_on_the_shops_calendar(technician, remedy):
    Letterhead.objects.update(zone="America/Los_Angeles")
    evening = datetime(2026, 2, 3, 1, 0, tzinfo=UTC)  # still Monday 2 February over there
    quote = send_quote(at_quote(by=technician, at=evening), lines(remedy), by=technician, at=evening)
    answer(quote, evening)
    invoice = billing.bill_agreed(order=quote.order, quote=quote, by=technician, at=evening)
    assert invoice.due.isoformat() == "2026-02-16"
    note = billing.credit(invoice=invoice, why="Too much", by=technician, at=evening)
    assert note.due.isoformat() == "2026-02-02"


def test_two_lines_of_one_part_want_two_of_it(technician, at, remedy, part):
    rows = lines(remedy, part)
    quote = send_quote(at_quote(by=technician, at=at), [*rows[:2], rows[1], rows[2]], by=technician, at=at)
    answer(quote, at)
    order, who = quote.order, decisions.staff(technician)
    assert stock.set_aside(order) == {part.pk: 2}
    stock.take(part=part, quantity=1, order=order, key="one", by=who, at=at)
    stock.release_all(order=order, why="looked again", by=who, at=at)
    assert stock.put_aside(order=order, quote=quote, by=who, at=at) == []
    assert stock.set_aside(order) == {part.pk: 1}
