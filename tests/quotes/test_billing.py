"""Invoices: numbered without gaps, never above what was agreed or told, undone only by a credit note."""

from decimal import Decimal

import pytest
from django.db import DatabaseError, IntegrityError, transaction

from intake import codes
from intake.models import Letter, Order, Paper
from quotes import billing, decisions
from quotes.decisions import Answer
from quotes.models import Invoice, InvoiceLine, NumberSeries, Rates
from quotes.refusals import Refused
from tests.bench_orders import at_diagnosis, at_go_ahead, make_rates

pytestmark = pytest.mark.usefixtures("rates")


@pytest.fixture
def quote(technician, at, remedy, part):
    quote = at_go_ahead(by=technician, at=at, remedy=remedy, part=part)
    decisions.decide(quote=quote, answer=Answer("mend", "Mara Ellwick", quote.digest, "Yes"), at=at)
    return quote


@pytest.fixture
def invoice(quote, technician, at):
    return billing.bill_agreed(order=quote.order, quote=quote, by=technician, at=at)


def test_invoice_repeats_the_agreed_quote_line_for_line(quote, invoice, at):
    assert (invoice.number, invoice.net, invoice.tax, invoice.total) == (
        "INV-00001",
        Decimal(112),
        Decimal("0.32"),
        Decimal("112.32"),
    )
    assert [(line.text, line.net) for line in invoice.lines.all()] == [
        (line.text, line.net) for line in quote.lines.all()
    ]
    assert invoice.due.isoformat() == "2026-02-16"
    assert invoice.to_lines[0] == "Mara Ellwick"
    assert Paper.objects.filter(maker="invoice", ref=invoice.pk).exists()
    assert invoice.reference == codes.payment_reference("INV00001")


def test_invoice_of_the_same_quote_is_written_once(quote, invoice, technician, at):
    again = billing.bill_agreed(order=quote.order, quote=quote, by=technician, at=at)
    assert again == invoice
    assert Invoice.objects.count() == 1


def test_invoice_keeps_the_agreed_price_when_the_rates_have_risen(quote, technician, at):
    make_rates(at, tax_percents={"part": "25", "labour": "25", "post": "25"}, minimum_charge=Decimal(500))
    assert billing.bill_agreed(order=quote.order, quote=quote, by=technician, at=at).total == quote.total


def test_numbers_run_on_without_a_gap_after_one_that_failed(quote, technician, at):
    with pytest.raises(RuntimeError), transaction.atomic():
        billing.next_number("invoice")
        raise RuntimeError
    invoice = billing.bill_agreed(order=quote.order, quote=quote, by=technician, at=at)
    assert invoice.number == "INV-00001"
    assert NumberSeries.objects.get(kind="invoice").next == 2


def test_return_without_a_quote_bills_the_post_of_todays_rates(technician, at):
    order = at_diagnosis(by=technician, at=at)
    rates = Rates.current()
    invoice = billing.bill_return(order=order, rates=rates, by=technician, at=at, why="not mendable")
    assert (invoice.total, invoice.quote) == (Decimal(12), None)
    assert billing.bill_return(order=order, rates=rates, by=technician, at=at, why="no fix") == invoice


def test_return_that_costs_nothing_makes_no_invoice(technician, at):
    order = at_diagnosis(by=technician, at=at)
    rates = make_rates(at, return_post_price=Decimal(0))
    assert billing.bill_return(order=order, rates=rates, by=technician, at=at, why="no fix") is None
    assert not NumberSeries.objects.exists()


def test_declined_fee_is_billed_only_when_declined(technician, at, remedy):
    make_rates(at, declined_fee=Decimal(20))
    quote = at_go_ahead(by=technician, at=at, remedy=remedy)
    assert (quote.back_total, quote.no_fix_total) == (Decimal(32), Decimal(12))
    order = quote.order
    no_fix = billing.bill_return(
        order=order, rates=quote.rates, quote=quote, by=technician, at=at, why="no fix"
    )
    assert no_fix.total == Decimal(12)


def test_balance_is_invoices_and_credits_less_payments(quote, invoice, technician, at):
    order = quote.order
    assert billing.balance(order) == Decimal("112.32")
    billing.credit(invoice=invoice, why="Wrong address", by=technician, at=at)
    assert billing.balance(order) == Decimal("0.00")


def test_credit_note_mirrors_the_invoice_and_is_written_once(invoice, technician, at):
    note = billing.credit(invoice=invoice, why="Wrong address", by=technician, at=at)
    assert (note.number, note.net, note.tax, note.total) == (
        "CRN-00001",
        Decimal(-112),
        Decimal("-0.32"),
        Decimal("-112.32"),
    )
    assert [line.net for line in note.lines.all()] == [Decimal(-96), Decimal(-4), Decimal(-12)]
    assert sum(Decimal(group["tax"]) for group in note.tax_groups) == note.tax
    with pytest.raises(Refused, match="credited already by CRN-00001"):
        billing.credit(invoice=invoice, why="Again", by=technician, at=at)
    assert Letter.objects.filter(kind="credited").count() == 1


def test_credit_without_a_reason_or_of_a_credit_note_is_refused(invoice, technician, at):
    with pytest.raises(Refused) as refused:
        billing.credit(invoice=invoice, why=" ", by=technician, at=at)
    assert refused.value.field == "why"
    note = billing.credit(invoice=invoice, why="Wrong", by=technician, at=at)
    with pytest.raises(Refused, match="Only an invoice"):
        billing.credit(invoice=note, why="Back", by=technician, at=at)


def test_invoice_and_its_lines_refuse_every_change(invoice):
    for change in (
        lambda: Invoice.objects.update(total=1),
        lambda: InvoiceLine.objects.update(net=1),
        lambda: InvoiceLine.objects.all()._raw_delete("default"),
    ):
        with pytest.raises(DatabaseError, match="only ever added"), transaction.atomic():
            change()


def test_invoice_below_nought_is_refused_by_the_table(invoice):
    fields = {
        field.attname: getattr(invoice, field.attname)
        for field in Invoice._meta.concrete_fields
        if not field.primary_key
    }
    with pytest.raises(IntegrityError), transaction.atomic():
        Invoice.objects.create(**{**fields, "number": "X", "key": "x", "total": Decimal(-1)})


def test_bill_for_a_parcel_without_a_sender_says_so_and_has_no_address(technician, at):
    order = at_diagnosis(by=technician, at=at)
    Order.objects.filter(pk=order.pk).update(customer=None, return_address=None)
    order.refresh_from_db()
    invoice = billing.bill_return(order=order, rates=Rates.current(), by=technician, at=at, why="no fix")
    assert (invoice.to_name, invoice.to_lines) == ("Unknown sender", [])
