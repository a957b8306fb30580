"""What customers owe by age, what goes back, deposits, disputes: sums of bills as they stand. Pure.

Ages count from the day a bill is due: common practice, no source.
"""

from collections import defaultdict
from collections.abc import Iterable

from shop.books.figures import Column, Figure, Table
from shop.books.lines import Books, Line
from shop.books.owed.making import money
from shop.books.owed.shapes import Bill, Extra, open_lines

AGES = ("Not due", "1 to 30 days late", "31 to 60 days late", "Over 60 days late")
KEYS = ("owed-not-due", "owed-1-30", "owed-31-60", "owed-over-60")
WEEK = 7
BILL = "What is left of bills after payments, credit notes and what was given up, with tax"


def age_of(due: int, today: int) -> int:
    """Which of AGES a bill due on that day has."""
    late = today - due
    return 0 if late <= 0 else 1 if late <= 30 else 2 if late <= 60 else 3


def all_lines(books: Books, extra: Extra) -> dict[int, Line]:
    """Lines with money open by order, those that left long ago among them."""
    return {line.order: line for line in open_lines((*books.lines, *extra.uneven))}


def standing(books: Books, extra: Extra) -> list[Figure]:
    """Sums as they stand now."""
    return [*_owed(books, extra), *_ages(books, extra), *_in_and_out(books, extra)]


def _owed(books: Books, extra: Extra) -> list[Figure]:
    bills = _bills(extra)
    late = [bill for bill in bills if bill.due < books.today]
    return [
        _of_bills(
            "owed-outstanding", "Owed by customers", bills, mark="K19",
            means=f"{BILL}. Money held in disputes stands apart.",
        ),
        _of_bills("owed-overdue", "Of it overdue", late, means=f"{BILL}, past the day it was due."),
        money(
            "owed-disputed", "Held in disputes", sum(extra.held.values()), extra.held,
            means="Payments that the payers' banks took back for now. It counts neither as paid nor as owed.",
        ),
    ]  # fmt: skip


def _ages(books: Books, extra: Extra) -> list[Figure]:
    told = (
        "not past their due day",
        "1 to 30 days past their due day",
        "31 to 60 days past their due day",
        "more than 60 days past their due day",
    )
    found = []
    for age, (key, name) in enumerate(zip(KEYS, AGES, strict=True)):
        bills = [bill for bill in _bills(extra) if age_of(bill.due, books.today) == age]
        means = f"Left of bills that are {told[age]}."
        found.append(_of_bills(key, name, bills, means=means))
    return found


def _in_and_out(books: Books, extra: Extra) -> list[Figure]:
    soon = [bill for bill in _bills(extra) if books.today <= bill.due <= books.today + WEEK]
    deposits = [line for line in all_lines(books, extra).values() if line.deposit]
    return [
        _of_bills("owed-week", "Due in the next 7 days", soon, means="Left of bills due from today on, seven days ahead."),
        money(
            "owed-deposits-asked", "Deposits still to come",
            sum(row.missing for row in extra.deposits_asked), [row.order for row in extra.deposits_asked],
            means="Deposits that customers agreed to, less what came, of orders at the bench.",
        ),
        money(
            "owed-refunds", "To be paid back", sum(extra.refunds.values()), extra.refunds,
            means="Paid more than is billed now. What was given up never came in and does not go out.",
        ),
        money(
            "owed-deposits", "Deposits held", sum(line.deposit for line in deposits), [line.order for line in deposits],
            means="Deposits that no bill has set off yet: the customers' own money, a debt of the shop.",
        ),
    ]  # fmt: skip


def _bills(extra: Extra) -> list[Bill]:
    return [bill for bill in extra.bills if bill.left > 0]


def _of_bills(key: str, name: str, bills: Iterable[Bill], *, means: str, mark: str = "") -> Figure:
    rows = list(bills)
    return money(
        key, name, sum(bill.left for bill in rows), [bill.order for bill in rows], means=means, mark=mark
    )


def tables(books: Books, extra: Extra) -> list[Table]:
    """Ages, customers, orders, and the sums as the journal has them."""
    return [
        _by_age(books, extra),
        _by_customer(books, extra),
        _by_order(books, extra),
        _journal(books, extra),
    ]


def _by_age(books: Books, extra: Extra) -> Table:
    rows = []
    for age, name in enumerate(AGES):
        bills = [bill for bill in _bills(extra) if age_of(bill.due, books.today) == age]
        rows.append((name, len(bills), len({bill.order for bill in bills}), sum(bill.left for bill in bills)))
    orders = len({bill.order for bill in _bills(extra)})
    return Table(
        "owed-ages",
        "Owed by age",
        "Bills with something left, by the days past their due day.",
        (
            Column("age", "Age", "text"),
            Column("bills", "Bills", "count"),
            Column("orders", "Orders", "orders"),
            Column("left", "Left", "money"),
        ),
        rows,
        ("", sum(row[1] for row in rows), orders, sum(row[3] for row in rows)),
    )


def _sums(books: Books, extra: Extra) -> dict[int, list[int]]:
    """By order: left by age, held, to be paid back, deposit."""
    found: dict[int, list[int]] = defaultdict(lambda: [0] * 7)
    for bill in _bills(extra):
        found[bill.order][age_of(bill.due, books.today)] += bill.left
    for order, amount in extra.held.items():
        found[order][4] += amount
    for order, amount in extra.refunds.items():
        found[order][5] += amount
    for line in all_lines(books, extra).values():
        if line.deposit:
            found[line.order][6] += line.deposit
    return found


def _by_customer(books: Books, extra: Extra) -> Table:
    lines = all_lines(books, extra)
    found: dict[int, list[int]] = defaultdict(lambda: [0] * 7)
    for order, sums in _sums(books, extra).items():
        own = found[lines[order].customer if order in lines else 0]
        own[:] = [old + new for old, new in zip(own, sums, strict=True)]
    rows = [
        (customer, sum(sums[:4]), *sums)
        for customer, sums in sorted(found.items(), key=lambda pair: (-sum(pair[1][:4]), pair[0]))
    ]
    return Table(
        "owed-customers",
        "Owed by customer",
        "What each customer owes by age; what is held in disputes, to be paid back, and held as a deposit.",
        (Column("customer", "Customer", "customer"), Column("owed", "Owed", "money"), *_MONEY),
        rows,
        ("", *(sum(row[spot] for row in rows) for spot in range(1, 9))),
    )


_MONEY = (
    Column("not_due", "Not due", "money"),
    Column("late_30", "1 to 30", "money"),
    Column("late_60", "31 to 60", "money"),
    Column("late_more", "Over 60", "money"),
    Column("held", "In dispute", "money"),
    Column("back", "To pay back", "money"),
    Column("deposit", "Deposit", "money"),
)


def _by_order(books: Books, extra: Extra) -> Table:
    lines, due = all_lines(books, extra), _oldest(extra)
    rows = [
        (
            order, lines[order].customer if order in lines else 0, due.get(order, 0),
            max(0, books.today - due[order]) if order in due else 0, sum(sums[:4]), *sums[4:],
        )
        for order, sums in sorted(_sums(books, extra).items(), key=lambda pair: (due.get(pair[0], 10**7), pair[0]))
    ]  # fmt: skip
    return Table(
        "owed-orders",
        "Owed by order",
        "Every order with money open, the bill that was due first on top.",
        (
            Column("order", "Order", "order"),
            Column("customer", "Customer", "customer"),
            Column("due", "Due", "day"),
            Column("late", "Days late", "count"),
            Column("owed", "Owed", "money"),
            *_MONEY[4:],
        ),
        rows,
        ("", "", "", "", *(sum(row[spot] for row in rows) for spot in range(4, 8))),
    )


def _oldest(extra: Extra) -> dict[int, int]:
    found: dict[int, int] = {}
    for bill in _bills(extra):
        found[bill.order] = min(bill.due, found.get(bill.order, bill.due))
    return found


def _journal(books: Books, extra: Extra) -> Table:
    """What the three accounts of the journal must say."""
    credits = [bill for bill in extra.bills if bill.left < 0]
    deposits = [line for line in all_lines(books, extra).values() if line.deposit]
    rows = [
        ("Bills with something left", len({bill.order for bill in _bills(extra)}), sum(bill.left for bill in _bills(extra))),
        ("Less what customers paid or were credited too much", len({bill.order for bill in credits}), sum(bill.left for bill in credits)),
        ("Account: owed by customers", len({bill.order for bill in extra.bills}), sum(bill.left for bill in extra.bills)),
        ("Account: held in disputes", len(extra.held), sum(extra.held.values())),
        ("Account: deposits held", len(deposits), -sum(line.deposit for line in deposits)),
    ]  # fmt: skip
    return Table(
        "owed-journal",
        "The same in the journal's accounts",
        "What these accounts of the journal stand at now; a debt of the shop is below nought.",
        (
            Column("account", "Account", "text"),
            Column("orders", "Orders", "orders"),
            Column("sum", "Sum", "money"),
        ),
        rows,
    )
