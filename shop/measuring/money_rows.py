"""What is measured of the money: ten thousand quotes priced, an invoice with its XML, the journal of a year."""

import csv
import datetime as dt
import io
import random
from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal

import facturx
from django.db import connection

from intake.papers.child import page_of
from quotes import billing, ledger
from quotes.einvoice.cii import FLAVOUR, LEVEL, cii_xml
from quotes.einvoice.fields import terms
from quotes.einvoice.hybrid import VARIANT, enclosed
from quotes.invoice_facts import facts_of
from quotes.invoice_makers import invoice_paper
from quotes.ledger_maths import Leg
from quotes.models import Invoice, Posting
from quotes.papers.invoice import invoice_html
from quotes.pricing import LineInput, Policy, price
from shop.accounts.journal_files import as_csv
from shop.accounts.journal_rows import postings, rows
from shop.demo import steps
from shop.measuring.ratios import Row
from shop.measuring.world import World, send_request

# Own goals, no source: pricing explains each step and shares tax among lines, which bare sums do not; the invoice may
# cost a quarter more than its two libraries alone; a journal row carries names, zone and a guard against formulas.
PRICING_GOAL, INVOICE_GOAL, JOURNAL_GOAL = 25.0, 1.25, 4.0
QUOTES, ENTRIES_AN_ORDER = 10_000, 30
CENT = Decimal("0.01")
POLICY = Policy(
    currency="USD",
    rate_per_minute=Decimal("1.60"),
    cost_per_minute=Decimal("0.75"),
    tax_rates={"part": Decimal(8), "post": Decimal(8)},
    return_post_price=Decimal("9.80"),
    return_post_cost=Decimal("7.35"),
    markup_bands=((None, Decimal("2.5")),),
    price_ending=Decimal("0.90"),
)


def money_rows(world: World, *, at: dt.datetime, quotes: int = QUOTES) -> list[Row]:
    """The rows of the money."""
    return [_pricing(quotes), _invoice(world, at), _journal(world, at)]


def _pricing(count: int) -> Row:
    dice = random.Random(20260202)  # noqa: S311 -- invented quotes, no secret
    quotes = [_lines(dice) for _ in range(count)]
    return Row(
        f"{count} prices",
        "the same sums, bare",
        PRICING_GOAL,
        floor=lambda: [_bare(lines) for lines in quotes],
        ours=lambda: [price(lines, POLICY) for lines in quotes],
        times=1,
    )


def _lines(dice: random.Random) -> list[LineInput]:
    return [
        LineInput("labour", "Fit jumper wire", minutes=dice.randrange(10, 120)),
        LineInput("part", "Charge chip", quantity=Decimal(2), unit_cost=Decimal(dice.randrange(50, 4000)) / 100),
        LineInput("post", "Return post"),
    ]  # fmt: skip


def _bare(lines: Sequence[LineInput]) -> Decimal:
    labour, part, _ = lines
    work = Decimal(labour.minutes or 0) * POLICY.rate_per_minute
    piece = (part.unit_cost or Decimal(0)) * Decimal("2.5")
    taxed = (_ended(piece) * part.quantity).quantize(CENT, ROUND_HALF_UP) + POLICY.return_post_price
    tax = (taxed * 8 / 100).quantize(CENT, ROUND_HALF_UP)
    return _ended(work) + taxed + tax


def _ended(made: Decimal) -> Decimal:
    made = made.quantize(CENT, ROUND_HALF_UP)
    up = made - made % 1 + Decimal("0.90")
    return up if up >= made else up + 1


def _invoice(world: World, at: dt.datetime) -> Row:
    """In this process, as with the quote: the child's start is not the invoice's work."""
    invoice = _billed(world, at)
    facts = facts_of(invoice)
    html, numbered = invoice_html(invoice_paper(invoice, facts)), terms(facts)
    order = {"html": html, "title": facts.number, "language": "en-GB", "page": "A4"}

    def floor() -> object:
        # The library changes what it is given.
        xml = facturx.generate_xml(
            dict(numbered), flavor=FLAVOUR, level=LEVEL, check_xsd=False, check_schematron=False
        )
        page = page_of(order, variant=VARIANT)
        return facturx.generate_from_binary(
            page, xml, flavor=FLAVOUR, level=LEVEL, check_xsd=False, check_schematron=False
        )

    def ours() -> object:
        said = facts_of(Invoice.objects.get(pk=invoice.pk))
        drawn = {**order, "html": invoice_html(invoice_paper(invoice, said))}
        return enclosed(
            page_of(drawn, variant=VARIANT), cii_xml(said), title=said.number, author=said.seller.name,
            language="en-GB", issued=said.issued,
        )  # fmt: skip

    return Row(
        "invoice with XML", "layout and XML library alone", INVOICE_GOAL, floor=floor, ours=ours, times=2
    )


def _billed(world: World, at: dt.datetime) -> Invoice:
    order = send_request(at=at)
    steps.receive(order, by=world.owner, at=at)
    steps.find(order, by=world.owner, at=at)
    quote = steps.quote(order, by=world.owner, at=at)
    steps.answer(order, at=at)
    invoice = billing.bill_agreed(order=order, quote=quote, by=world.owner, at=at)
    if invoice is None:
        raise ValueError("The measured quote came to nothing.")
    return invoice


def _journal(world: World, at: dt.datetime) -> Row:
    count = world.count * ENTRIES_AN_ORDER
    start = at - dt.timedelta(days=365)
    for number in range(count):
        ledger.post(
            key=f"measured:{number}",
            what="payment",
            text="Transfer from Mara Ellwick",
            postings=[Leg("bank", "", Decimal("80.74")), Leg("receivable", "", Decimal("-80.74"))],
            at=start + dt.timedelta(days=365) * number / count,
            by=world.owner,
            order=world.order,
            document="INV-00001",
            currency="USD",
        )
    since, upto = start.date() - dt.timedelta(days=1), at.date() + dt.timedelta(days=1)
    return Row(
        "year's journal",
        f"{count} entries, bare select to CSV",
        JOURNAL_GOAL,
        floor=_bare_journal,
        ours=lambda: sum(len(line) for line in as_csv(rows(postings(since, upto), zone=dt.UTC))),
        times=1,
    )


def _bare_journal() -> int:
    table, entry, out = Posting._meta.db_table, "quotes_entry", io.StringIO()
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT e.number, e.day, e.at, e.what, e.text, e.document, o.code, p.account, p.kind, p.amount, "  # noqa: S608 -- our own table names
            f"e.currency, e.by FROM {table} p JOIN {entry} e ON e.id = p.entry_id "
            f"LEFT JOIN intake_order o ON o.id = e.order_id ORDER BY e.number, p.id"
        )
        csv.writer(out).writerows(cursor.fetchall())
    return out.tell()
