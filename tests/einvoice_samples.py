"""Invented invoices over every tax category, allowance, charge, currency and kind, made by their own plain sums."""

import itertools
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from quotes.einvoice.facts import Group, InvoiceFacts, Item, LineFacts, Party

D = Decimal
SELLER = Party(
    "Quillmere Bench Works", "DE", "12 Solder Lane", city="Anytown", postcode="10115", trade_name="Quillmere Bench",
    tax_number="DE136695976", email="bench@example.com", phone="555-0100",
)  # fmt: skip
BUYER = Party("Mara Ellwick", "DE", "3 Nowhere Lane", city="Anytown", postcode="10117")
TRADE = Party(
    "Plenthor Trade", "FR", "8 Nowhere Lane", city="Anytown", postcode="75001", tax_number="FR40303265045"
)
REASONS = {
    "E": "Exempt by the law of the shop's place.",
    "AE": "Reverse charge: the customer accounts for the tax.",
    "K": "Supply within the EU.",
    "G": "Export outside the EU.",
    "O": "Not subject to tax.",
}
RATES = {"S": D(19), "L": D("6.5"), "M": D(4)}
DIGITS = {"JPY": 0, "KWD": 3}
ACCOUNT = "DE89 3704 0044 0532 0130 00"


def rounded(amount: Decimal, currency: str) -> Decimal:
    return amount.quantize(D(1).scaleb(-DIGITS.get(currency, 2)), rounding=ROUND_HALF_UP)


def line(number: int, quantity: str, price: str, category: str, currency: str, **more: Decimal) -> LineFacts:
    percent = more.pop("percent", RATES.get(category, D(0)))
    per, less, plus = more.get("per", D(1)), more.get("allowance", D(0)), more.get("charge", D(0))
    net = rounded(D(quantity) * D(price) / per, currency) - less + plus
    return LineFacts(
        str(number), f"Part {number}, flex line", D(quantity), D(price), net, category, percent, **more
    )


def invoice(
    lines: tuple[LineFacts, ...],
    *,
    currency: str = "EUR",
    allowances: tuple[Item, ...] = (),
    charges: tuple[Item, ...] = (),
    **more: object,
) -> InvoiceFacts:
    """The document of these lines, its sums made here in another way than the code under test makes them."""
    parts = [(row.category, row.percent, row.net) for row in lines]
    parts += [(item.category, item.percent, -item.amount) for item in allowances]
    parts += [(item.category, item.percent, item.amount) for item in charges]
    groups = []
    for key in dict.fromkeys((category, percent) for category, percent, _ in parts):
        base = sum((amount for category, percent, amount in parts if (category, percent) == key), D(0))
        groups.append(
            Group(*key, base, rounded(base * key[1] / 100, currency), reason=REASONS.get(key[0], ""))
        )
    line_sum = sum((row.net for row in lines), D(0))
    less = sum((item.amount for item in allowances), D(0))
    plus = sum((item.amount for item in charges), D(0))
    net, tax = line_sum - less + plus, sum((group.tax for group in groups), D(0))
    made = InvoiceFacts(
        "INV-00042", "invoice", date(2026, 2, 9), currency, SELLER, BUYER, lines, tuple(groups), line_sum, net, tax,
        net + tax, net + tax, allowances, charges, less, plus, due=date(2026, 2, 23), supplied=date(2026, 2, 9),
        reference="RF712348231", account=ACCOUNT, order_code="MARW7C4X",
    )  # fmt: skip
    made = replace(made, **more)  # type: ignore[arg-type]  # the caller names fields of the facts
    return replace(made, payable=made.total - made.prepaid + made.rounding)


def credit(facts: InvoiceFacts) -> InvoiceFacts:
    return replace(
        facts, number="CRN-00003", kind="credit", credit_of=(facts.number, facts.issued), issued=date(2026, 2, 20),
        due=date(2026, 2, 20), prepaid=D(0), rounding=D(0), payable=facts.total,
    )  # fmt: skip


def parties(category: str) -> dict[str, Party]:
    if category == "O":
        seller = replace(SELLER, country="US", tax_number="12-3456789", postcode="00000", area="ZZ")
        return {"seller": seller, "buyer": replace(BUYER, country="US", postcode="00000")}
    if category in ("AE", "K"):
        return {"buyer": TRADE}
    if category == "G":
        return {"buyer": replace(BUYER, country="US", postcode="00000")}
    return {}


def price(category_free: str, currency: str) -> str:
    """A price that gives amounts the currency can hold: whole yen, whole tens of fils."""
    whole = D(category_free)
    return str(rounded(whole * 100, "JPY")) if currency == "JPY" else str(whole)


CATEGORIES = ("S", "Z", "E", "AE", "K", "G", "O", "L", "M")
CURRENCIES = ("EUR", "USD", "GBP", "SEK", "JPY", "KWD")


def samples() -> Iterator[tuple[str, InvoiceFacts]]:
    """(name, facts) of each: every category in every currency with reductions and additions, then the odd ones."""
    for category, currency in itertools.product(CATEGORIES, CURRENCIES):
        yield f"{category} {currency}", _full(category, currency)
    for category in CATEGORIES:
        yield f"{category} credit note, whole", credit(_full(category, "EUR"))
        part = invoice((line(1, "1", "85.00", category, "EUR"),), **parties(category))
        yield f"{category} credit note, in part", credit(part)
    yield from _odd()


def _full(category: str, currency: str) -> InvoiceFacts:
    percent = RATES.get(category, D(0))
    if currency == "KWD" and percent:
        percent = D(10)
    rows = (
        line(1, "1", price("85.00", currency), category, currency, percent=percent),
        line(
            2, "3", price("4.20", currency), category, currency, percent=percent,
            allowance=D(price("1.10", currency)), charge=D(price("0.50", currency)),
        ),
    )  # fmt: skip
    return invoice(
        rows,
        currency=currency,
        allowances=(Item("Goodwill", D(price("5.00", currency)), category, percent),),
        charges=(Item("Return post", D(price("9.00", currency)), category, percent),),
        **parties(category),
    )


def _odd() -> Iterator[tuple[str, InvoiceFacts]]:
    three = (
        line(1, "1", "85.00", "S", "EUR"),
        line(2, "3", "1.235", "S", "EUR"),
        line(3, "2", "7.50", "S", "EUR", percent=D(7)),
        line(4, "1", "12.00", "E", "EUR"),
    )
    mixed = invoice(three, allowances=(Item("Goodwill", D("5.00"), "S", D(19)),))
    yield "two rates and an exemption", mixed
    yield "deposit set off", replace(mixed, prepaid=D("50.00"), payable=mixed.total - 50)
    yield "all paid before", replace(mixed, prepaid=mixed.total, payable=D("0.00"), due=None)
    krona = invoice((line(1, "1", "799.85", "S", "SEK", percent=D(25)),), currency="SEK")
    up = krona.total.quantize(D(1), rounding=ROUND_HALF_UP) - krona.total
    yield "whole krona", replace(krona, rounding=up, payable=krona.total + up)
    yield "price for twelve", invoice((line(1, "132", "15.24", "S", "EUR", per=D(12)),))
    yield "price of many decimals", invoice((line(1, "16000", "0.00880", "S", "EUR", percent=D(21)),))
    yield (
        "rate of three decimals",
        invoice((line(1, "1", "85.00", "S", "USD", percent=D("8.875")),), currency="USD"),
    )
    yield "account that is no IBAN", replace(mixed, account="Anytown Bank 000-123456")
    yield "no account", replace(mixed, account="", reference="")
    yield "bank named", replace(mixed, bic="COBADEFFXXX")
    yield "a note", replace(mixed, note="Work on your own device. Parts used and tested.")
    yield (
        "text that is no markup",
        replace(mixed, buyer=replace(BUYER, name='<b>&amp; "Ell\x07wick"</b> 修理')),
    )
    yield "free line", invoice((line(1, "1", "85.00", "S", "EUR"), line(2, "1", "0", "S", "EUR")))
    yield "without the buyer's street", replace(mixed, buyer=Party("Mara Ellwick", "DE"))
    yield "seller of another registration", replace(mixed, seller=replace(SELLER, tax_number="12/345/67890"))
