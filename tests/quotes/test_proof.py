"""Each rule of the books broken once behind the locks: the proof says which, in a sentence."""

import datetime as dt
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from quotes import billing, disputes, ledger, payments
from quotes.ledger_maths import payment
from quotes.models import (
    Closing,
    Decision,
    Dispute,
    Entry,
    Invoice,
    InvoiceLine,
    NumberSeries,
    Payment,
    Posting,
    WriteOff,
)
from quotes.proof import prove
from tests.quotes.money_orders import agreed, billed, paid

DAY = dt.date(2026, 2, 2)
NEXT = dt.timedelta(days=1)


@pytest.fixture
def books(rates, technician, owner, at, remedy, part, behind):
    """A deposit, a bill, two payments, one of them disputed, a part credited, a write-off, all of it closed."""
    quote = agreed(by=technician, at=at, remedy=remedy, part=part)
    order = quote.order
    paid(order, "30", by=technician, at=at, purpose="deposit")
    invoice = billed(quote, by=technician, at=at)
    first = paid(order, "50", by=technician, at=at, fee=Decimal(1))
    billing.credit(invoice=invoice, why="Too much", lines={1: Decimal("0.1")}, by=technician, at=at)
    payments.write_off(order=order, amount=Decimal(5), key="w", why="Small", by=owner, at=at)
    disputes.open_dispute(
        payment=first, amount=Decimal(20), fee=Decimal(0), why="x", answer_by=None, key="d", by=owner, at=at
    )
    ledger.close(upto=DAY, by=owner, at=at + NEXT)
    paid(order, "2", by=technician, at=at + NEXT)
    assert prove() == []
    return behind


def change(model, **columns):
    """Rows altered as one who owns the database may."""
    return lambda: (
        model.objects.order_by("pk").filter(pk=model.objects.order_by("pk")[0].pk).update(**columns)
    )


def drop(model, **which):
    return lambda: model.objects.filter(**which)._raw_delete("default")


def says(*words):
    faults = prove()
    for word in words:
        assert any(word in fault for fault in faults), (word, faults)


def test_posting_altered_shows_at_its_entry_its_order_and_the_closing(books):
    row = Posting.objects.get(entry__what="write-off", account="receivable")
    books(Posting, lambda: Posting.objects.filter(pk=row.pk).update(amount=Decimal("-4")))
    says(
        "Entry 5 (write-off) does not sum to nought: it is off by 1.",
        "Entry 5 does not say what the write-off of 5",
        "the journal says 36.72 is owed, its papers say 35.72",
        "The closing of 2026-02-02 does not fit the journal",
        "The closing of 2026-02-02 keeps other sums",
    )


def test_deposit_moved_in_the_journal_shows(books):
    for account in ("deposits", "card"):
        row = Posting.objects.get(entry__what="deposit", account=account)
        books(Posting, lambda row=row: Posting.objects.filter(pk=row.pk).update(amount=row.amount * 2))
    says("the journal holds a deposit of 30, its papers say 0", "Entry 1 does not say what the payment of 30")


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("invoice", "Invoice INV-00001 is not in the journal."),
        ("credit note", "Credit note CRN-00001 is not in the journal."),
        ("deposit", "The payment of 30 on"),
        ("write-off", "The write-off of 5 on"),
        ("dispute", "The dispute of 20 on"),
    ],
)
def test_entry_that_is_gone_shows_with_its_number(books, what, said):
    entry = Entry.objects.get(what=what)
    books(Posting, drop(Posting, entry=entry))
    says(f"Entry {entry.number} has no postings.")
    books(Entry, drop(Entry, pk=entry.pk))
    says(said, f"Number {entry.number} of the series entry is missing.")


def test_entry_of_nothing_shows(books, at):
    ledger.post(
        key="made up", what="payment", text="x", postings=payment(kind="cash", purpose="bill", amount=Decimal(1)),
        at=at + NEXT, by="x", currency="USD",
    )  # fmt: skip
    says("(payment) belongs to nothing that was billed or paid")


def test_payment_altered_shows(books):
    books(Payment, lambda: Payment.objects.filter(amount=50).update(amount=Decimal(49)))
    says("Entry 3 does not say what the payment of 49", "its papers say 36.72")


def test_more_deposit_back_than_came_shows(books):
    books(Payment, lambda: Payment.objects.filter(amount=50).update(amount=Decimal(-50), purpose="deposit"))
    says("more deposit went back than came")


def test_loss_altered_or_called_a_refund_shows(books, owner, at):
    order = Invoice.objects.get(kind="invoice").order
    loss = payments.make_good(
        order=order, kind="cash", amount=Decimal(9), key="m", why="x", by=owner, at=at + NEXT
    )
    assert prove() == []
    mine = Payment.objects.filter(pk=loss.pk)
    books(Payment, lambda: mine.update(amount=Decimal(-8)))
    (fault,) = prove()
    assert "does not say what the payment of -8" in fault
    books(Payment, lambda: mine.update(amount=Decimal(-9), purpose="bill"))
    says("does not say what the payment of -9", "is owed, its papers say")


def test_loss_that_is_not_in_the_journal_shows(books, owner, at):
    order = Invoice.objects.get(kind="invoice").order
    payments.make_good(order=order, kind="cash", amount=Decimal(9), key="m", why="x", by=owner, at=at + NEXT)
    entry = Entry.objects.get(what="made good")
    books(Posting, drop(Posting, entry=entry))
    books(Entry, drop(Entry, pk=entry.pk))
    says("The payment of -9 on", f"Number {entry.number} of the series entry is missing.")


def test_write_off_altered_shows(books):
    books(WriteOff, change(WriteOff, amount=Decimal(6)))
    says("does not say what the write-off of 6")


def test_dispute_above_its_payment_shows(books):
    books(Dispute, change(Dispute, amount=Decimal(51)))
    says("more is in dispute than the payment of 50")


def test_number_used_outside_the_series_or_missing_shows(books):
    books(Invoice, change(Invoice, number="INV-00007"))
    says(
        "Number INV-00001 of the series invoice is missing.",
        "Number INV-00007 was not taken from the series invoice; 2 comes next there.",
    )
    NumberSeries.objects.filter(kind="credit").update(next=4)
    says(
        "Number CRN-00002 of the series credit is missing.",
        "Number CRN-00003 of the series credit is missing.",
    )


def test_series_set_back_shows(books):
    NumberSeries.objects.filter(kind="entry").update(next=7)
    says("Number 7 was not taken from the series entry; 7 comes next there.")


@pytest.mark.parametrize(
    ("column", "value", "said"),
    [
        ("net", "111", "its lines come to 112, and it says 111"),
        ("tax", "0.33", "its taxes come to 0.32, and it says 0.33"),
        ("total", "112.33", "net and tax do not make its total of 112.33"),
        ("total", "112.33", "112.33 was billed"),
        ("prepaid", "112.33", "more deposit was set off than it comes to"),
    ],
)
def test_invoice_altered_shows(books, column, value, said):
    if said.endswith("was billed"):
        books(InvoiceLine, drop(InvoiceLine, invoice__kind="credit"))
        books(Invoice, drop(Invoice, kind="credit"))
    books(Invoice, change(Invoice, **{column: Decimal(value)}))
    says(f"INV-00001: {said}")


def test_invoice_line_altered_shows_in_sums_and_by_quantity_times_price(books):
    row = InvoiceLine.objects.get(invoice__kind="invoice", kind="part")
    books(InvoiceLine, lambda: InvoiceLine.objects.filter(pk=row.pk).update(net=Decimal("4.01")))
    says(
        "INV-00001, line 2: quantity times price makes 4, and it says 4.01",
        "INV-00001: its lines come to 112.01",
        "INV-00001: the lines taxed at S 8 do not come to 4.",
    )


def test_tax_group_altered_shows_even_where_the_sums_agree(books):
    bill = Invoice.objects.get(kind="invoice")
    groups = [{**group, "tax": "0.35"} if group["tax"] == "0.32" else group for group in bill.tax_groups]
    books(Invoice, change(Invoice, tax_groups=groups, tax=Decimal("0.35"), total=Decimal("112.35")))
    says("INV-00001: the tax at S 8 is not 0.35.")


def test_tax_group_left_out_shows(books):
    bill = Invoice.objects.get(kind="invoice")
    books(
        Invoice, change(Invoice, tax_groups=[group for group in bill.tax_groups if group["category"] == "S"])
    )
    says("INV-00001: no tax is said for the lines at Z 0.")


def test_credit_above_the_invoice_shows(books):
    note = Invoice.objects.get(kind="credit")
    books(Invoice, lambda: Invoice.objects.filter(pk=note.pk).update(net=Decimal(-113), total=Decimal(-113)))
    says("more net was credited than it has, 113", "more total was credited than it has, 113")
    line = note.lines.get()
    books(InvoiceLine, lambda: InvoiceLine.objects.filter(pk=line.pk).update(quantity=Decimal("1.1")))
    says("INV-00001: more of line 1 was credited than was billed.")


def test_bill_above_what_was_agreed_shows(books):
    books(Decision, change(Decision, amount=Decimal("102.71")))
    says("INV-00001: 102.72 was billed, and no more than 102.71 may be.")


def test_bill_without_a_yes_shows(books):
    books(Decision, drop(Decision))
    says("INV-00001: it was billed without a yes.")


@pytest.mark.parametrize(
    ("column", "value", "said"),
    [
        ("digest", "0" * 64, "does not fit the journal"),
        ("last_entry", 3, "names entry 3 as its last"),
        ("sums", {"bank": "1"}, "keeps other sums"),
    ],
)
def test_closing_altered_shows(books, column, value, said):
    books(Closing, change(Closing, **{column: value}))
    says(f"The closing of 2026-02-02 {said}")


def test_entry_dated_back_into_a_closed_day_shows(books):
    last = Entry.objects.order_by("number").last()
    books(Entry, lambda: Entry.objects.filter(pk=last.pk).update(day=DAY))
    says("The closing of 2026-02-02 does not fit the journal", "names entry 6 as its last")


def test_command_says_that_all_is_well_or_each_fault_and_fails(books):
    out, err = StringIO(), StringIO()
    call_command("prove_books", stdout=out, stderr=err)
    assert "The books add up: 7 entries." in out.getvalue()
    books(Closing, change(Closing, digest="0" * 64))
    with pytest.raises(CommandError, match="The books do not add up: 1 fault."):
        call_command("prove_books", stdout=out, stderr=err)
    assert "does not fit the journal" in err.getvalue()
