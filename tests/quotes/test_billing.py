"""Invoices: numbered without gaps, never above what was agreed or told, undone only by a credit note."""

from decimal import Decimal

import pytest
from django.db import DatabaseError, IntegrityError, transaction

from intake import codes
from intake.models import Letter, Order, Paper
from quotes import billing, decisions
from quotes.decisions import Answer
from quotes.models import BillAddition, Invoice, InvoiceLine, NumberSeries, Quote, Rates, TradeAccount
from quotes.proof import prove
from quotes.refusals import Refused
from tests.bench_orders import at_diagnosis, at_go_ahead, make_rates
from tests.quotes.money_orders import agreed, billed, paid

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
    assert [line.credit_of_line for line in note.lines.all()] == list(invoice.lines.all())
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


def test_bill_keeps_to_whom_where_by_which_rates_and_each_tax(quote, technician, at):
    customer = quote.order.customer
    customer.trade = True
    customer.save()
    TradeAccount.objects.create(
        customer=customer, tax_number="GB123", payment_days=30, changed_at=at, changed_by=technician
    )
    invoice = billed(quote, by=technician, at=at)
    assert (invoice.to_country, invoice.to_email) == ("US", "mara.ellwick@example.com")
    assert (invoice.to_kind, invoice.to_tax_number) == ("trade", "GB123")
    assert invoice.rates == quote.rates
    assert invoice.due.isoformat() == "2026-03-04"
    assert [(group["category"], group["rate"]) for group in invoice.tax_groups] == [
        ("Z", "0.000"),
        ("S", "8.000"),
    ]
    assert [line.tax_category for line in invoice.lines.all()] == ["Z", "S", "Z"]


def test_deposit_is_set_off_and_what_is_left_of_it_stays_the_customers(quote, technician, at):
    order = quote.order
    paid(order, "150", by=technician, at=at, purpose="deposit")
    assert (billing.deposit_held(order), billing.balance(order)) == (Decimal(150), Decimal(0))
    invoice = billed(quote, by=technician, at=at)
    assert invoice.prepaid == Decimal("112.32")
    assert (billing.deposit_held(order), billing.balance(order)) == (Decimal("37.68"), Decimal(0))
    assert prove() == []


def test_deposit_below_the_total_leaves_the_rest_to_pay(quote, technician, at):
    paid(quote.order, "30", by=technician, at=at, purpose="deposit")
    invoice = billed(quote, by=technician, at=at)
    assert (invoice.prepaid, billing.balance(quote.order)) == (Decimal(30), Decimal("82.32"))
    assert billing.deposit_held(quote.order) == 0


def credit_part(invoice, lines, technician, at, **other):
    given = {number: Decimal(quantity) for number, quantity in lines.items()}
    return billing.credit(invoice=invoice, why="Too much", lines=given, by=technician, at=at, **other)


def test_parts_credited_are_the_whole_and_one_cent_more_is_refused(quote, invoice, technician, at):
    first = credit_part(invoice, {1: "0.333"}, technician, at)
    assert (first.total, first.lines.get().quantity) == (Decimal("-31.97"), Decimal("0.333"))
    second = credit_part(invoice, {2: "1"}, technician, at)
    assert (second.net, second.tax) == (Decimal(-4), Decimal("-0.32"))
    with pytest.raises(Refused, match="only 0.667 of 1") as refused:
        credit_part(invoice, {1: "0.668"}, technician, at)
    assert refused.value.field == "lines"
    rest = billing.credit(invoice=invoice, why="All of it", by=technician, at=at)
    notes = [first, second, rest]
    assert (sum(n.net for n in notes), sum(n.tax for n in notes)) == (-invoice.net, -invoice.tax)
    with pytest.raises(Refused, match="credited already by CRN-00001, CRN-00002, CRN-00003"):
        credit_part(invoice, {1: "0.001"}, technician, at)
    assert billing.balance(quote.order) == 0
    assert prove() == []


def test_part_sent_twice_by_one_form_is_credited_once(invoice, technician, at):
    notes = [credit_part(invoice, {2: "1"}, technician, at, key="form") for _ in range(2)]
    assert notes[0] == notes[1]
    assert Invoice.objects.filter(kind="credit").count() == 1


def test_fresh_invoice_only_after_the_whole_is_credited(quote, invoice, technician, at):
    order = quote.order
    credit_part(invoice, {2: "1"}, technician, at)
    with pytest.raises(Refused, match="INV-00001 still stands"):
        billing.bill_again(order=order, by=technician, at=at)
    billing.credit(invoice=invoice, why="Wrong name", by=technician, at=at)
    again = billing.bill_again(order=order, by=technician, at=at)
    assert (again.number, again.total, again.key) == ("INV-00002", invoice.total, f"agreed:{quote.pk}#2")
    with pytest.raises(Refused, match="INV-00002 still stands"):
        billing.bill_again(order=order, by=technician, at=at)
    letter = Letter.objects.get(kind="billed_again")
    assert [paper.file_name for paper in letter.papers.all()] == ["INV-00002.pdf"]
    billing.credit(invoice=again, why="Once more", by=technician, at=at)
    assert billing.bill_again(order=order, by=technician, at=at).key == f"agreed:{quote.pk}#3"
    assert billing.balance(order) == Decimal("112.32")
    assert prove() == []


def test_fresh_invoice_of_a_return_repeats_what_was_told(technician, at):
    order = at_diagnosis(by=technician, at=at)
    first = billing.bill_return(order=order, rates=Rates.current(), by=technician, at=at, why="not mendable")
    make_rates(at, return_post_price=Decimal(99))
    billing.credit(invoice=first, why="Wrong name", by=technician, at=at)
    assert billing.bill_again(order=order, by=technician, at=at).total == Decimal(12)
    assert prove() == []


def test_fresh_invoice_without_a_first_one_is_refused(quote, technician, at):
    with pytest.raises(Refused, match="Nothing was billed"):
        billing.bill_again(order=quote.order, by=technician, at=at)


def add(quote, price, by, at, key="k", **other):
    given = {"kind": "labour", "text": "Second shield", "quantity": Decimal(1), **other}
    return billing.add_to_bill(order=quote.order, unit_price=Decimal(price), key=key, by=by, at=at, **given)


def test_nothing_comes_on_top_where_the_rule_allows_nothing(quote, technician, at):
    with pytest.raises(Refused, match=r"above the 112\.32 that may be billed") as refused:
        add(quote, "0.01", technician, at)
    assert refused.value.field == "unit_price"


def test_additions_stay_within_the_standing_limit_that_agreed_for_the_customer(technician, at, remedy):
    make_rates(at, overrun_rule="share", overrun_percent=Decimal(10))
    sent = at_go_ahead(by=technician, at=at, remedy=remedy, standing_limit=Decimal(110))
    assert sent.decision.channel == "limit"
    with pytest.raises(Refused, match=r"above the 110\.00 that may be billed"):
        add(sent, "2.01", technician, at)
    add(sent, "2", technician, at)
    assert billed(sent, by=technician, at=at).total == Decimal(110)
    assert prove() == []


def test_addition_up_to_the_ceiling_is_billed_and_one_cent_more_refused(technician, at, remedy, part):
    make_rates(at, overrun_rule="greater", overrun_sum=Decimal(5), overrun_percent=Decimal(10))
    quote = agreed(by=technician, at=at, remedy=remedy, part=part)
    with pytest.raises(Refused, match=r"123\.56 would be above the 123\.55"):
        add(quote, "11.24", technician, at)
    assert add(quote, "6.23", technician, at) == add(quote, "6.23", technician, at)
    with pytest.raises(Refused, match=r"above the 123\.55"):
        add(quote, "5.01", technician, at, key="k2")
    add(quote, "5.00", technician, at, key="k2")
    invoice = billed(quote, by=technician, at=at)
    assert (invoice.total, invoice.lines.count()) == (Decimal("123.55"), 5)
    with pytest.raises(Refused, match="billed already"):
        add(quote, "0.01", technician, at, key="k3")
    assert prove() == []


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"kind": "gift"}, "kind"),
        ({"text": " "}, "text"),
        ({"quantity": Decimal(0)}, "quantity"),
        ({"price": "0"}, "unit_price"),
    ],
)
def test_addition_that_says_too_little_is_refused_beside_its_field(quote, technician, at, given, field):
    with pytest.raises(Refused) as refused:
        add(quote, given.pop("price", "1"), technician, at, **given)
    assert refused.value.field == field
    assert not BillAddition.objects.exists()


def test_addition_without_an_agreement_is_refused(technician, at):
    order = at_diagnosis(by=technician, at=at)
    with pytest.raises(Refused, match="Nothing is agreed"):
        add(Quote(order=order), "1", technician, at)


def test_bill_above_what_was_agreed_is_refused(quote, technician, at, monkeypatch):
    monkeypatch.setattr(billing, "ceiling_of", lambda decision, added: Decimal("112.31"))
    with pytest.raises(Refused, match=r"The bill of 112\.32 would be above the agreed 112\.31"):
        billed(quote, by=technician, at=at)
    assert not Invoice.objects.exists()


def test_electronic_invoice_lies_beside_the_paper_only_where_it_can_be_made(
    quote, technician, at, monkeypatch
):
    monkeypatch.setattr("quotes.issuing.why_not_electronic", lambda document: [])
    invoice = billed(quote, by=technician, at=at)
    assert Paper.objects.get(maker="invoice_xml", ref=invoice.pk).file_name == "INV-00001.xml"
    monkeypatch.setattr("quotes.issuing.why_not_electronic", lambda document: ["The country is missing."])
    note = billing.credit(invoice=invoice, why="Wrong", by=technician, at=at)
    assert not Paper.objects.filter(maker="invoice_xml", ref=note.pk).exists()
