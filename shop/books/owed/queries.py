"""What the lines of the books do not hold of money owed, gathered in a number of queries that does not grow."""

import re
from collections.abc import Mapping
from dataclasses import replace

from django.db.models import Q, QuerySet

from intake.models import Letterhead
from quotes.models import Account, Posting
from quotes.owed import standings
from quotes.receivables import movements
from quotes.statement_maths import open_bills
from shop.books.house import smallest_units
from shop.books.keep import kept
from shop.books.lines import DAY_SECONDS, Books, Line
from shop.books.owed import device_rows, paper_rows, stock_rows
from shop.books.owed.shapes import STORAGE_DAYS, Bill, Extra, open_lines
from shop.models import BookLine

# Tax papers and payments of all time would be millions of rows: what is older stands in the closings of its days.
LONGEST_DAYS = 731


def extra(books: Books) -> Extra:
    """What the page of money owed needs besides the lines. Twenty-nine queries at most, however many orders there are; of a
    window that is over, only what went through in it."""
    since, until = max(books.window.since, books.now - LONGEST_DAYS * DAY_SECONDS), books.window.until
    house, uneven = books.house, uneven_before(books)
    bills, held, refunds = _journal(books, [line.order for line in (*open_lines(books.lines), *uneven)])
    through = Extra(
        since=since,
        uneven=uneven,
        bills=bills,
        held=held,
        refunds=refunds,
        taxes=paper_rows.taxes(house, since=since, until=until),
        counted=stock_rows.counted(house, since=since, until=until),
        disputes=paper_rows.disputes(house, since=since),
        paid_in=paper_rows.paid_in(house, since=since, until=until),
        trade_bills=paper_rows.trade_bills(house, since=since, until=until),
    )
    return through if until <= books.now else _with_what_stands(books, through)


def _with_what_stands(books: Books, through: Extra) -> Extra:
    return replace(
        through,
        deposits_asked=paper_rows.deposits_asked(books.house),
        parts=stock_rows.parts(books.house, now=books.now),
        waiting=device_rows.waiting(),
        storage_days=storage_days(Letterhead.current().storage_words),
        paid_orders=paper_rows.paid_orders(books.house, since=through.since, until=books.window.until),
        **device_rows.bench_days(books.house, now=books.now),
    )


def brief(books: Books) -> Extra:
    """What stands now, of money and devices, for a window that reaches to now; nothing of stock, tax and trade."""
    uneven = uneven_before(books)
    bills, held, refunds = _journal(books, [line.order for line in (*open_lines(books.lines), *uneven)])
    return Extra(
        uneven=uneven,
        bills=bills,
        held=held,
        refunds=refunds,
        waiting=device_rows.waiting(),
        storage_days=storage_days(Letterhead.current().storage_words),
        **device_rows.bench_days(books.house, now=books.now),
    )


def uneven_before(books: Books) -> tuple[Line, ...]:
    """Lines with money open of orders that left before the lines of the books begin. One query."""
    known = {line.order for line in books.lines}
    money = ~Q(balance=0) | ~Q(deposit=0) | ~Q(disputed=0)
    rows = BookLine.objects.filter(money, currency=books.house.currency)
    return tuple(line for line in kept(rows.order_by("order_id")) if line.order not in known)


def _journal(
    books: Books, orders: list[int]
) -> tuple[tuple[Bill, ...], Mapping[int, int], Mapping[int, int]]:
    """Bills left, what is held, what is to be paid back, of those orders. At most seven queries."""
    digits, currency = books.house.digits, books.house.currency
    mine = Posting.objects.filter(entry__currency=currency, entry__order__in=orders)
    left = open_bills(movements(_only(mine, Account.RECEIVABLE)))
    bills = tuple(
        Bill(bill.order, bill.number, bill.due.toordinal(), smallest_units(bill.left, digits))
        for bill in left
    )
    held: dict[int, int] = {}
    rows = _only(mine, Account.HELD).values_list("entry__order_id", "amount")
    for order, amount in rows:
        held[order] = held.get(order, 0) + smallest_units(amount, digits)
    credits = sorted({bill.order for bill in bills if bill.left < 0})
    back = {
        order: smallest_units(standing.to_pay_back, digits)
        for order, standing in (standings(order__in=credits) if credits else {}).items()
        if standing.to_pay_back
    }
    return bills, {order: amount for order, amount in held.items() if amount}, back


def _only(postings: QuerySet[Posting], account: str) -> QuerySet[Posting]:
    """Of an account, said by the others that it is not: SQLite takes the index of the accounts for the narrower one, and
    would read every posting that was ever owed."""
    return postings.exclude(account__in=[other for other in Account.values if other != account])


def storage_days(words: str) -> int:
    """How many days a device is kept free of charge, read from the shop's own sentence; 30 where it names none."""
    found = re.search(r"(\d{1,3})\s+days?\b", words)
    return int(found[1]) if found else STORAGE_DAYS
