"""The money's part of the tour: four steps for the owner, and the way to each case in one click."""

from django.db.models import QuerySet
from django.urls import reverse

from intake.models import Order
from quotes.models import Statement
from shop.demo import bank
from shop.demo.tour import TourStep, newest_codes, sheet_of, window_of

WAYS = "Orla Finchett"
# By name: what the order shows.
CASES = {
    "Corin Ashby": "A second quote that says what changed since the first, waiting",
    "Belle Thackery": "Held until the deposit for a special part comes; the customer can pay it by card",
    "Jory Penhale": "A deposit that came by the bank, held as the customer's own money",
    "Ines Varrow": "A deposit that was set off on the bill",
    "Nell Harrowgate": "A second fault, waiting for its answer while the first yes stands",
    "Garrick Vole": "A card payment in dispute, held apart, with the day to answer by",
    "Ivo Sandlake": "A late bill; half of it waits at the bank",
}
# By what stands in the books.
FOUND = (
    ("A bill credited in part, and paid back", {"invoices__kind": "credit"}),
    ("A bill paid twice: to be paid back", {"payments__key__startswith": "demo-twice-"}),
    ("A rest that was given up", {"write_offs__isnull": False}),
)


def steps() -> list[TourStep]:
    """One query for the codes."""
    code = newest_codes([WAYS]).get(WAYS)
    return [
        TourStep(
            "Three ways, one answer",
            "Water got in. Orla can have it mended, have her pictures copied, or try a cleaning without a promise; each way "
            "has its price, its day and its chance, and one part can be added. Answer as she would.",
            "Open Orla's window",
            window_of(code),
            sign_in=False,
            more=(("The same quote on the sheet", sheet_of(code)),),
        ),
        TourStep(
            "Where a price comes from",
            "Rates, markup by cost, what comes on top, prices of the trade. Change a rate and look what it would move before "
            "you keep it.",
            "Open the price book",
            reverse("shop:price_book"),
        ),
        TourStep(
            "What is owed, and by whom",
            "Bills by age, deposits held, a payment in dispute, the trade by the month. Last month is closed. Let the books "
            "be counted again from every row.",
            "Open the accounts",
            reverse("shop:accounts"),
            more=(("Count the books again", reverse("shop:proof")),),
        ),
        TourStep(
            "The bank's statement",
            "Save one of these files, take it in at the bank, and say what each movement is. One names its reference, one a "
            "whole batch, one only a name.",
            "Open the bank",
            reverse("shop:bank"),
            more=tuple((f"Save {name}", reverse("shop:demo_bank", args=[name])) for name in bank.there()),
        ),
    ]


def cases() -> list[tuple[str, str]]:
    """What can be seen, and where; only what is in this world. Six queries."""
    codes = newest_codes(list(CASES))
    shown = [(words, sheet_of(codes[name])) for name, words in CASES.items() if name in codes]
    for words, which in FOUND:
        order = _first(Order.objects.filter(**which))
        if order is not None:
            shown.append((words, sheet_of(order.code)))
    sent = Statement.objects.select_related("account").order_by("pk").first()
    if sent is not None:
        trade = reverse("shop:trade_customer", args=[sent.account.customer_id])
        shown.append(("A trade customer: tier, certificate, last month's statement", trade))
    pages = (("The journal of every entry", "journal"), ("The month that is closed", "closing"))
    return [*shown, *((words, reverse(f"shop:{name}")) for words, name in pages)]


def _first(rows: QuerySet[Order]) -> Order | None:
    return rows.order_by("pk").first()
