"""From rows to papers: the same invoice for people and for machines, and why it is not when it is not."""

import dataclasses
import random
import signal
import subprocess
from datetime import datetime, timedelta
from decimal import Decimal as D
from typing import Any

import pytest

from intake.models import Letterhead, Order, Paper, Person
from intake.paper_files import PaperMissing, content, content_type, suffix_of
from intake.papers import html
from quotes import credits, invoice_makers, issuing, payments
from quotes.einvoice.arithmetic import wrong_with
from quotes.einvoice.cii import cii_xml
from quotes.einvoice.facts import InvoiceFacts
from quotes.einvoice.ubl import ubl_xml
from quotes.invoice_facts import facts_of, why_not_electronic
from quotes.models import Invoice, Rates
from quotes.policies import policy_of
from quotes.pricing import LineInput, price
from tests import bench_orders
from tests.paper_samples import read, words_of
from tests.schematron import checked

LINES = (
    LineInput("labour", "Mend the torn pad", unit_price=D("85.00"), tax_percent=D(19)),
    LineInput("part", "Flex part", D(3), unit_price=D("1.235"), tax_percent=D(19)),
    LineInput("fee", "Goodwill", unit_price=D("-5.00"), tax_percent=D(19)),
    LineInput("post", "Return post", unit_price=D("9.90"), tax_percent=D(19)),
)


@pytest.fixture
def shop(letterhead: Letterhead, at: datetime) -> Letterhead:
    """The shop with all that an electronic invoice asks of it."""
    Letterhead.objects.filter(pk=letterhead.pk).update(
        country="DE", currency="EUR", tax_number="DE136695976", legal_name="Quillmere Bench Works",
        bank_account="DE89370400440532013000", bank_code="COBADEFFXXX",
    )  # fmt: skip
    return Letterhead.objects.get(pk=letterhead.pk)


@pytest.fixture
def order(shop: Letterhead, rates: Rates, technician: Person, at: datetime) -> Order:
    return bench_orders.at_diagnosis(by=technician, at=at)


def billed(
    order: Order, *, by: Person, at: datetime, rates: Rates, lines: Any = LINES, key: str = "a", **policy: Any
) -> Invoice:
    ruled = dataclasses.replace(policy_of(rates, order.currency, minimum=False), **policy)
    invoice = issuing.issue(
        order, price(lines, ruled), quote=None, rates=rates, key=key, by=by, at=at, why=""
    )
    assert invoice is not None
    return Invoice.objects.get(pk=invoice.pk)


def paper(invoice: Invoice, maker: str) -> Paper:
    return Paper.objects.get(maker=maker, ref=invoice.pk)


def passes(facts: InvoiceFacts) -> bool:
    verdicts = checked([("cii", cii_xml(facts)), ("ubl", ubl_xml(facts))])
    return all(verdict.failed == () for verdict in verdicts)


def test_invoice_holds_its_xml_and_has_it_beside(
    order: Order, rates: Rates, technician: Person, at: datetime
) -> None:
    invoice = billed(order, by=technician, at=at, rates=rates)
    assert why_not_electronic(invoice) == []
    drawn = paper(invoice, "invoice")
    pdf = content(drawn, at=at)
    assert list(read(pdf).attachments) == ["factur-x.xml"]
    assert (suffix_of(drawn), content_type(drawn)) == (".pdf", "application/pdf")
    beside = paper(invoice, "invoice_xml")
    xml = content(beside, at=at)
    assert (suffix_of(beside), content_type(beside)) == (".xml", "application/xml")
    assert content(beside, at=at) == xml and f"<cbc:ID>{invoice.number}</cbc:ID>".encode() in xml
    (inside,) = read(pdf).attachments["factur-x.xml"]
    assert [verdict.failed for verdict in checked([("cii", inside), ("ubl", xml)])] == [(), ()]
    said = words_of(pdf).replace("\xa0", " ")
    for amount in ("98.61", "5.00", "93.61", "17.79", "111.40"):
        assert amount in said


def test_fee_below_nought_is_a_reduction_of_the_document(
    order: Order, rates: Rates, technician: Person, at: datetime
) -> None:
    facts = facts_of(billed(order, by=technician, at=at, rates=rates))
    assert [(item.text, item.amount) for item in facts.allowances] == [("Goodwill", D("5.00"))]
    assert [line.text for line in facts.lines] == ["Mend the torn pad", "Flex part", "Return post"]
    assert (facts.line_sum, facts.net, facts.tax, facts.total) == (
        D("98.61"), D("93.61"), D("17.79"), D("111.40"),
    )  # fmt: skip


def test_without_what_it_needs_it_is_a_plain_paper_and_says_why(
    letterhead: Letterhead, rates: Rates, technician: Person, at: datetime
) -> None:
    order = bench_orders.at_diagnosis(by=technician, at=at)
    invoice = billed(order, by=technician, at=at, rates=rates)
    assert why_not_electronic(invoice) == ["The shop's tax number is missing in the settings."]
    assert not read(content(paper(invoice, "invoice"), at=at)).attachments
    assert not Paper.objects.filter(maker="invoice_xml").exists()
    asked = Paper(maker="invoice_xml", ref=invoice.pk, order=order, title="x", letterhead=letterhead)
    with pytest.raises(PaperMissing, match="tax number is missing"):
        content(asked, at=at)


@pytest.mark.parametrize("rounding", ["document", "line"])
@pytest.mark.parametrize("inclusive", [False, True])
def test_every_way_to_tax_passes(
    order: Order, rates: Rates, technician: Person, at: datetime, inclusive: bool, rounding: str
) -> None:
    Rates.objects.filter(pk=rates.pk).update(tax_inclusive=inclusive, rounding=rounding)
    rates.refresh_from_db()
    facts = facts_of(billed(order, by=technician, at=at, rates=rates))
    assert wrong_with(facts) == []
    assert passes(facts)


def test_credit_note_in_whole_turns_every_amount(
    order: Order, rates: Rates, technician: Person, owner: Person, at: datetime
) -> None:
    invoice = billed(order, by=technician, at=at, rates=rates)
    note = credits.credit(invoice=invoice, why="Part not needed.", by=owner, at=at + timedelta(days=1))
    facts, before = facts_of(note), facts_of(invoice)
    assert (facts.kind, facts.total, facts.tax) == ("credit", before.total, before.tax)
    assert facts.credit_of == (invoice.number, before.issued)
    assert [item.amount for item in facts.allowances] == [D("5.00")]
    assert wrong_with(facts) == [] and passes(facts)
    said = words_of(content(paper(note, "credit_note"), at=at))
    assert f"Credits invoice {invoice.number}" in said and "Settled. Nothing to pay." in said


def test_credit_note_in_part_passes_as_well(
    order: Order, rates: Rates, technician: Person, owner: Person, at: datetime
) -> None:
    invoice = billed(order, by=technician, at=at, rates=rates)
    note = credits.credit(
        invoice=invoice, why="One was left over.", by=owner, at=at + timedelta(days=1), lines={2: D(1)}
    )
    facts = facts_of(note)
    assert [line.text for line in facts.lines] == ["Flex part"] and facts.kind == "credit"
    assert wrong_with(facts) == [] and passes(facts)
    rest = credits.credit(invoice=invoice, why="All of it.", by=owner, at=at + timedelta(days=2))
    assert wrong_with(facts_of(rest)) == [] and passes(facts_of(rest))
    assert facts.total + facts_of(rest).total == facts_of(invoice).total


@pytest.mark.parametrize("rounding", ["document", "line"])
@pytest.mark.parametrize("inclusive", [False, True])
def test_any_parts_of_any_invoice_pass(
    order: Order,
    rates: Rates,
    technician: Person,
    owner: Person,
    at: datetime,
    inclusive: bool,
    rounding: str,
) -> None:
    """Credited part by part at random: each part is sound by our sums and by the official rules."""
    Rates.objects.filter(pk=rates.pk).update(tax_inclusive=inclusive, rounding=rounding)
    rates.refresh_from_db()
    dice, documents = random.Random(3), []
    for key in range(3):
        lines = [_thrown(dice, place) for place in range(dice.randint(1, 4))]
        invoice = billed(order, by=technician, at=at, rates=rates, lines=lines, key=str(key))
        documents.append(invoice)
        for day in range(1, 9):
            left = {number: amount for number, amount in credits.left_of(invoice).items() if amount}
            part = {number: D(dice.randint(0, int(amount))) for number, amount in left.items()}
            if left:
                documents.append(
                    credits.credit(
                        invoice=invoice, why="Not needed.", by=owner, at=at + timedelta(days=day),
                        lines=part if any(part.values()) else None, key=f"{key}-{day}",
                    )
                )  # fmt: skip
    facts = [facts_of(document) for document in documents]
    assert [wrong_with(one) for one in facts] == [[]] * len(facts)
    written = [(sheet, write(one)) for one in facts for sheet, write in (("cii", cii_xml), ("ubl", ubl_xml))]
    assert {verdict.failed for verdict in checked(written)} == {()}


def _thrown(dice: random.Random, place: int) -> LineInput:
    return LineInput(
        "part", f"Part {place}", D(dice.randint(1, 4)), unit_price=D(dice.randint(1, 9999)) / 100,
        tax_percent=D(dice.choice(["19", "7", "8.875"])), allowance=D(dice.choice(["0", "0.01"])),
    )  # fmt: skip


def test_deposit_is_set_off_on_page_and_in_xml(
    order: Order, rates: Rates, technician: Person, at: datetime
) -> None:
    payments.record_payment(
        order=order, kind="card", amount=D("40.00"), key="d1", by=technician, at=at, purpose="deposit"
    )
    invoice = billed(order, by=technician, at=at + timedelta(days=1), rates=rates)
    facts = facts_of(invoice)
    assert (facts.prepaid, facts.payable) == (D("40.00"), D("71.40"))
    assert wrong_with(facts) == [] and passes(facts)
    said = words_of(content(paper(invoice, "invoice"), at=at)).replace("\xa0", " ")
    assert "40.00" in said and "To pay: €71.40" in said


def test_credit_note_after_payment_says_what_goes_back(
    order: Order, rates: Rates, technician: Person, owner: Person, at: datetime
) -> None:
    invoice = billed(order, by=technician, at=at, rates=rates)
    later = at + timedelta(days=1)
    payments.record_payment(
        order=order, kind="transfer", amount=invoice.total, key="p1", by=technician, at=later
    )
    note = credits.credit(invoice=invoice, why="Part not needed.", by=owner, at=at + timedelta(days=2))
    assert invoice_makers.invoice_paper(note, facts_of(note)).balance == -invoice.total


def test_whoever_moved_since_is_billed_as_printed(
    order: Order, rates: Rates, technician: Person, at: datetime
) -> None:
    invoice = billed(order, by=technician, at=at, rates=rates)
    assert facts_of(invoice).buyer.city == "Anytown"
    other = order.return_address
    other.pk, other.street, other.city = None, "9 Elsewhere Lane", "Othertown"
    other.save()
    Order.objects.filter(pk=order.pk).update(return_address=other)
    buyer = facts_of(Invoice.objects.get(pk=invoice.pk)).buyer
    assert "3 Nowhere Lane" in (buyer.street + buyer.more) and buyer.city == ""
    assert buyer.country == "US" and wrong_with(facts_of(invoice)) == []


def test_child_that_crashes_twice_loses_no_paper(
    order: Order, rates: Rates, technician: Person, at: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    invoice = billed(order, by=technician, at=at, rates=rates)
    row = paper(invoice, "invoice")
    with monkeypatch.context() as broken:
        broken.setattr(html, "_child", _crashed)
        with pytest.raises(PaperMissing):
            content(row, at=at)
    assert not Paper.objects.get(pk=row.pk).sha256
    assert read(content(Paper.objects.get(pk=row.pk), at=at)).attachments


def _crashed(module: str, order: bytes) -> Any:
    return subprocess.CompletedProcess([], -signal.SIGSEGV, b"", b"")


def test_payment_read_later_with_an_earlier_day_changes_no_document(
    order: Order, technician: Person, rates: Rates, at: datetime
) -> None:
    invoice = billed(order, by=technician, at=at, rates=rates)
    before = facts_of(invoice)
    payments.record_payment(
        order=order, kind="transfer", amount=D("20.00"), key="late", by=technician, at=at - timedelta(days=2)
    )
    assert facts_of(Invoice.objects.get(pk=invoice.pk)) == before
