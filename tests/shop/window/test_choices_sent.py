"""Several choices from the bench's own draft to the customer's bill: what is shown, answered, paid and set off."""

import datetime as dt
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest
from django.test import Client

from intake import paper_files
from intake.models import Letter, Order
from intake.stations import SlipReason, Station
from quotes import billing, offers, payments
from quotes.models import Decision, Finding, Part, Quote, Remedy
from tests import walk
from tests.paper_samples import words_of
from tests.window_pages import AT, let_in, page_of, read_back, said, sign


def draft(order: Order, bench: SimpleNamespace, **changes: Any) -> Quote:
    """A repair with a special part and a film as an extra, the data alone, and a cleaning."""
    wire = Remedy.objects.get(name="Fit jumper wire").pk
    Part.objects.filter(number="WIRE-002").update(special=True)
    part = Part.objects.get(number="WIRE-002").pk
    lines = [
        {"kind": "labour", "remedy": wire, "quantity": "1"},
        {"kind": "part", "part": part, "quantity": "1"},
        {"kind": "fee", "text": "Front film", "quantity": "1", "price": "19", "extra": "e1", "extra_text": "Front film"},
        {"kind": "labour", "text": "Read the storage", "quantity": "1", "price": "140", "choice": "data"},
        {"kind": "labour", "text": "Clean the board", "quantity": "1", "price": "60", "choice": "clean"},
        {"kind": "post", "text": "Return post", "quantity": "1"},
    ]  # fmt: skip
    given = {
        "lines": lines,
        "choices": {"data": {"on": True}, "clean": {"on": True}},
        "deposit": Decimal("40.00"),
        **changes,
    }
    return walk.quote(order, by=bench.technician, at=AT, **given)


@pytest.fixture
def order(bench: SimpleNamespace) -> Order:
    return walk.to(walk.request(at=AT), Station.QUOTE, by=bench.technician, at=AT)


@pytest.fixture
def quote(order: Order, bench: SimpleNamespace) -> Quote:
    return draft(order, bench)


def test_window_shows_what_the_bench_wrote(order: Order, quote: Quote, client: Client) -> None:
    words = said(page_of(order, client))
    for row in quote.shown["choices"]:
        assert row["label"] in words
    for expected in (
        "It can be mended for", "Or choose another way.", "Chance Good. We know the fault", "Front film, $19.00 more",
        "Before we order the part we ask for $40.00.", "Cleaning is owed whether it helps or not",
    ):  # fmt: skip
        assert expected in words


def test_exact_total_of_the_bench_is_signed_and_kept(order: Order, quote: Quote, client: Client) -> None:
    total = quote.shown["choices"][0]["totals"]["e1"]
    let_in(order, client)
    assert f"Yes, mend it for ${total}" in said(read_back(client, quote, "mend", "mend:e1"))
    assert sign(client, quote, "mend", extras="e1").status_code == 303
    decision = Decision.objects.get()
    assert (decision.amount, decision.extras) == (Decimal(total), ["e1"])
    assert f"for ${total} in all" in Letter.objects.get(kind="agreed").text


def test_cleaning_is_agreed_with_its_own_texts(order: Order, quote: Quote, client: Client) -> None:
    assert sign(let_in(order, client), quote, "clean", no_promise="on", data="on").status_code == 303
    decision = Decision.objects.get()
    assert [row["key"] for row in decision.consent_texts] == ["no_promise", "data"]
    words = said(page_of(order, client))
    assert "It is being cleaned" in words and "You agreed to it without a promise" in words
    assert "deposit" not in words.lower().split("read the quote again")[0]


def test_deposit_is_asked_for_at_the_repair_and_ends_when_it_is_in(
    order: Order, quote: Quote, client: Client, bench: SimpleNamespace
) -> None:
    sign(let_in(order, client), quote, "mend")
    words = said(page_of(order, client))
    for expected in (
        "Your turn: a deposit of $40.00",
        "We wait for your deposit",
        "Deposit to pay $40.00",
        "With the reference RF",
    ):
        assert expected in words
    assert order.slips.filter(reason=SlipReason.PAYMENT, ended_at__isnull=True).exists()
    for amount, key in (("15", "d1"), ("25", "d2")):
        payments.record_payment(
            order=order, kind="transfer", amount=Decimal(amount), key=key, by=bench.owner, at=AT, purpose="deposit"
        )  # fmt: skip
        words = said(page_of(order, client))
        assert ("Deposit to pay $25.00" in words) == (key == "d1")
    assert "The deposit of $40.00 is in." in words and "Our turn: it is being mended." in words
    assert not order.slips.filter(reason=SlipReason.PAYMENT, ended_at__isnull=True).exists()


def test_bill_sets_the_deposit_off_and_says_what_is_owed(
    order: Order, quote: Quote, client: Client, bench: SimpleNamespace
) -> None:
    sign(let_in(order, client), quote, "mend")
    payments.record_payment(
        order=order, kind="transfer", amount=Decimal(40), key="d", by=bench.owner, at=AT, purpose="deposit"
    )
    order.refresh_from_db()
    walk.to(order, Station.GOODS_OUT, by=bench.technician, at=AT)
    owed = quote.total - 40
    words = said(page_of(order, client))
    assert "Your deposit of $40.00 is set off" in words and f"To pay ${owed:.2f}" in words
    assert f"${owed:.2f} to pay" in Letter.objects.get(kind="mended").subject
    assert "Your deposit of $40.00 is taken off it." in Letter.objects.get(kind="mended").text
    invoice = order.invoices.get()
    billing.credit(invoice=invoice, why="Film not fitted well", by=bench.owner, at=AT, lines={1: Decimal(1)})
    words = said(page_of(order, client))
    assert f"{invoice.number}: ${quote.total:.2f} in all" in words, "an invoice credited in part still stands"
    assert "Credit note CRN-" in words and "Film not fitted well" in words
    xml = order.papers.filter(maker="invoice_xml").first()
    assert xml is not None
    sent = client.get(f"/your/{order.code}/paper/{xml.pk}/")
    assert sent.headers["Content-Type"] == "application/xml" and sent.content.startswith(b"<?xml")


def test_second_fault_leaves_the_first_agreement_standing(
    order: Order, quote: Quote, client: Client, bench: SimpleNamespace
) -> None:
    sign(let_in(order, client), quote, "mend")
    order.refresh_from_db()
    found = Finding.objects.create(
        order=order, key="second", fault_class="short", words="A second fault.", mendable="yes", at=AT,
        by=bench.technician,
    )  # fmt: skip
    offers.second_fault(order=order, seen_version=order.version, found=found, by=bench.technician, at=AT)
    order.refresh_from_db()
    second = walk.quote(order, by=bench.technician, at=AT, lines=quote_lines(), choices={}, deposit=None)
    words = said(page_of(order, client))
    for expected in (
        "Both faults can be mended for", "What you agreed first still stands", "it stays valid if you say no",
        "What has changed since quote 1", "Second socket",
        f"Finish only the first job , ${quote.total:.2f}",
    ):  # fmt: skip
        assert expected in words
    assert "takes the place of what you agreed first" in said(read_back(client, second, "mend"))
    once_more = said(read_back(client, second, "first"))
    assert "goes on, at its price" in once_more and f"You pay ${quote.total:.2f}" in once_more
    assert sign(client, second, "first").status_code == 303
    assert billing.balance(order) == 0
    assert Decision.objects.get(quote=second).amount == quote.total


def test_second_quote_that_lapsed_leaves_the_first_agreement_said(
    order: Order, quote: Quote, client: Client, bench: SimpleNamespace
) -> None:
    sign(let_in(order, client), quote, "mend")
    order.refresh_from_db()
    found = Finding.objects.create(
        order=order, key="second", fault_class="short", words="A second fault.", mendable="yes", at=AT,
        by=bench.technician,
    )  # fmt: skip
    offers.second_fault(order=order, seen_version=order.version, found=found, by=bench.technician, at=AT)
    order.refresh_from_db()
    second = walk.quote(order, by=bench.technician, at=AT, lines=quote_lines(), choices={}, deposit=None)
    offers.lapse(quote=second, at=second.valid_until + dt.timedelta(days=1))
    words = said(page_of(order, client))
    assert f"What you agreed first still stands: mend it, ${quote.total:.2f} in all." in words
    assert "What you agreed first still stands, at its price." in Letter.objects.get(kind="quote_lapsed").text


def quote_lines() -> list[dict[str, Any]]:
    return [
        {"kind": "labour", "remedy": Remedy.objects.get(name="Fit jumper wire").pk, "quantity": "1"},
        {"kind": "labour", "text": "Second socket", "quantity": "1", "price": "55"},
        {"kind": "post", "text": "Return post", "quantity": "1"},
    ]


def test_papers_of_a_quote_with_several_ways(order: Order, quote: Quote, client: Client) -> None:
    sign(let_in(order, client), quote, "data", data="on")
    drawn = {
        row.maker: " ".join(words_of(paper_files.content(row, at=AT)).split())
        for row in order.papers.filter(maker__in=["quote", "decision_receipt"])
    }
    for words in ("Save the data only", "Clean it, without a promise", "If you like: Front film, $19.00 more",
                  "we ask for $40.00 before we order the part", "Read the storage 1 $140.00 $140.00"):  # fmt: skip
        assert words in drawn["quote"]
    assert "Front film 1 $19.00" not in drawn["quote"], "an extra is no part of the price without it"
    for words in ("Save the data only", "I know that what is on it may be lost all the same.", "terms version",
                  "Yes, save the data for $"):  # fmt: skip
        assert words in drawn["decision_receipt"]
