"""What the page of money owed says against the journal, whatever was pressed: owed, held, deposits, tax."""

import datetime as dt
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis.stateful import invariant, run_state_machine_as_test

from intake.models import Letterhead, Order, Person
from quotes import billing, disputes, ledger, payments
from quotes.journal import balances
from quotes.models import Closing, Part, Payment, Remedy
from quotes.proof import prove
from shop.books.figures import Figure
from shop.books.gather import open_books
from shop.books.lines import Books
from shop.books.owed import queries, sums
from shop.books.owed.shapes import Extra
from shop.models import BookLine
from tests import bench_orders, walk
from tests.bench_orders import make_rates
from tests.quotes.money_orders import agreed
from tests.quotes.test_money_presses import MoneyPresses

DAY = dt.timedelta(days=1)
pytestmark = pytest.mark.filterwarnings("error")


def _cents(amount: Decimal) -> int:
    return int(amount * 100)


def _account(name: str, *, upto: dt.date | None = None) -> int:
    return sum(_cents(amount) for (account, _), amount in balances(upto).items() if account == name)


def _read(key: str, at: dt.datetime) -> tuple[Books, Extra, dict[str, Figure]]:
    books = open_books(key, at=at)
    extra = queries.extra(books)
    return books, extra, {figure.key: figure for figure in sums.figures(books, extra)}


def _agrees_with_the_journal(at: dt.datetime, key: str = "all") -> None:
    books, extra, found = _read(key, at)
    assert sum(bill.left for bill in extra.bills) == _account("receivable")
    assert found["owed-disputed"].value == _account("held")
    assert found["owed-deposits"].value == -_account("deposits")
    ages = [found[name].value for name in ("owed-not-due", "owed-1-30", "owed-31-60", "owed-over-60")]
    assert sum(ages) == found["owed-outstanding"].value == sum(max(bill.left, 0) for bill in extra.bills)
    table = {table.key: table for table in sums.tables(books, extra)}
    assert [row[2] for row in table["owed-journal"].rows[2:]] == [
        _account("receivable"),
        _account("held"),
        _account("deposits"),
    ]
    if key == "all":
        _tax_agrees(found, extra)


def _tax_agrees(found: dict[str, Figure], extra: Extra) -> None:
    assert found["owed-tax"].value == -_account("tax")
    by_rate: dict[str, int] = {}
    for row in extra.taxes:
        by_rate[row.rate] = by_rate.get(row.rate, 0) - row.tax
    booked = {kind: _cents(amount) for (account, kind), amount in balances().items() if account == "tax"}
    assert {rate: tax for rate, tax in by_rate.items() if tax} == booked


class OwedPresses(MoneyPresses):
    """The same random deeds; after each the page says what the journal says."""

    @invariant()
    def books_add_up(self) -> None:
        if self.pressed:
            assert prove() == []
            _agrees_with_the_journal(self.at)
        self.pressed = False


@pytest.fixture
def remedy(db: None) -> Remedy:
    return bench_orders.make_remedy()


@pytest.fixture
def part(technician: Person, at: dt.datetime) -> Part:
    return bench_orders.make_part(by=technician, at=at)


def test_page_agrees_with_the_journal_whatever_is_pressed(
    letterhead: Letterhead, technician: Person, owner: Person, at: dt.datetime, remedy: Remedy, part: Part
) -> None:
    make_rates(
        at, overrun_rule="share", overrun_percent=Decimal(10), tax_percents={"part": "8.25", "labour": "19"}
    )
    agreed(by=technician, at=at, remedy=remedy, part=part)
    run_state_machine_as_test(
        OwedPresses,
        settings=settings(
            phases=[Phase.generate],
            max_examples=4,
            stateful_step_count=14,
            deadline=None,
            derandomize=True,
            database=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
    assert not Closing.objects.exists()


def _home(bench, at: dt.datetime) -> Order:
    order = walk.request(at=at)
    walk.receive(order, by=bench.technician, at=at)
    walk.find(order, by=bench.owner, at=at)
    walk.quote(order, by=bench.owner, at=at)
    walk.answer(order, at=at)
    walk.mend(order, by=bench.owner, at=at)
    walk.test_and_pass(order, by=bench.owner, at=at)
    walk.pay(order, by=bench.owner, at=at)
    return walk.send(order, by=bench.owner, at=at)


def _disputed(order: Order, bench, at: dt.datetime) -> None:
    paid = Payment.objects.get(order=order)
    disputes.open_dispute(
        payment=paid, amount=Decimal(20), fee=Decimal(15), why="not known", answer_by=None, key=f"d{order.pk}",
        by=bench.owner, at=at,
    )  # fmt: skip


def test_orders_that_left_long_ago_are_found_while_their_money_is_open(bench, at: dt.datetime) -> None:
    even, held, lost, credited = (_home(bench, at) for _ in range(4))
    late = at + 300 * DAY
    for order in (held, lost):
        _disputed(order, bench, late)
    disputes.end_dispute(
        dispute=Payment.objects.get(order=lost).disputes.get(), won=False, by=bench.owner, at=late
    )
    billing.credit(invoice=credited.invoices.get(), why="came back", by=bench.owner, at=late)
    _agrees_with_the_journal(late, "week")
    books, extra, found = _read("week", late)
    assert {line.order for line in books.lines} == set()
    assert {line.order for line in extra.uneven} == {held.pk, lost.pk, credited.pk}
    assert found["owed-disputed"].behind == (held.pk,)
    assert found["owed-outstanding"].behind == (lost.pk,)
    assert found["owed-outstanding"].value == found["owed-over-60"].value == 2000
    assert found["owed-refunds"].behind == (credited.pk,)
    assert even.pk in set(BookLine.objects.values_list("pk", flat=True))
    (row,) = (table.rows for table in sums.tables(books, extra) if table.key == "owed-held")
    assert [cells[0] for cells in row] == [held.pk]


def test_tax_of_a_closed_period_is_that_of_the_journal(bench, at: dt.datetime) -> None:
    """The bill in one month, its credit note in the next: each counts in its own."""
    order = _home(bench, at)
    later = at + 40 * DAY
    billing.credit(invoice=order.invoices.get(kind="invoice"), why="all of it", by=bench.owner, at=later)
    ledger.close(upto=dt.date(2026, 2, 28), by=bench.owner, at=at + 27 * DAY)
    _, extra, _ = _read("quarter", later)
    books = open_books("quarter", at=later)
    tables = {table.key: list(table.named()) for table in sums.tables(books, extra)}
    february = [row for row in tables["owed-tax-months"] if row["when"] == "2026-02"]
    march = [row for row in tables["owed-tax-months"] if row["when"] == "2026-03"]
    closed = {
        kind.removeprefix("tax "): -_cents(Decimal(amount))
        for kind, amount in Closing.objects.get().sums.items()
        if kind.startswith("tax")
    }
    assert {row["rate"]: row["tax"] for row in february if row["tax"]} == closed != {}
    assert {row["rate"]: -row["tax"] for row in march if row["tax"]} == closed
    assert sum(row["tax"] for row in tables["owed-tax-quarters"]) == 0
    assert {row["profile"] for row in february} == {"Sales tax"}


def test_deposit_is_a_debt_until_the_bill_sets_it_off(
    letterhead: Letterhead, technician: Person, owner: Person, at: dt.datetime, remedy: Remedy, part: Part
) -> None:
    make_rates(at)
    quote = agreed(by=technician, at=at, remedy=remedy, part=part)
    payments.record_payment(
        order=quote.order, kind="card", amount=Decimal(30), key="dep", by=technician, at=at, purpose="deposit"
    )
    _, _, found = _read("week", at)
    assert (found["owed-deposits"].value, found["owed-outstanding"].value) == (3000, 0)
    billing.bill_agreed(order=quote.order, quote=quote, by=technician, at=at)
    _, _, found = _read("week", at)
    assert (found["owed-deposits"].value, found["owed-outstanding"].value) == (0, 11_232 - 3000)
