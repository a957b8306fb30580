"""Walks whose money took a turn: credited, paid short, disputed, on account, let go unpaid."""

from decimal import Decimal

from intake.models import Order
from quotes import billing, disputes, payments, trade_accounts
from quotes.trade_accounts import TermsGiven
from shop.bulk.bench import Bench
from shop.bulk.waiting_walks import cost, tidy
from shop.demo import steps
from shop.returns import out


def credited(bench: Bench) -> Order:
    """The part was not needed: credited after it was paid, and paid back."""
    order = bench.home()
    bill = order.invoices.get()
    line = bill.lines.filter(kind="part").first()
    assert line is not None
    billing.credit(
        invoice=bill, why="The old part could be kept.", lines={line.number: line.quantity}, by=bench.owner,
        at=bench.at(10), key="bulk-credit",
    )  # fmt: skip
    payments.refund(
        order=order, kind="card", amount=-billing.balance(order), key="bulk-back", by=bench.owner,
        at=bench.at(10, 16), note="The part that was credited.",
    )  # fmt: skip
    return tidy(order)


def paid_short(bench: Bench) -> Order:
    order = bench.tested()
    payments.record_payment(
        order=order, kind="transfer", amount=billing.balance(order) - 4, key="bulk-short", by=bench.owner,
        at=bench.at(6, 14.5), note="Came short.",
    )  # fmt: skip
    payments.write_off(
        order=order, amount=Decimal(4), key="bulk-gone", by=bench.owner, at=bench.at(6, 15),
        why="The payer's bank kept a charge.",
    )  # fmt: skip
    return bench.home(bench.sent(order))


def dispute_open(bench: Bench) -> Order:
    order = bench.home()
    payment = order.payments.get()
    disputes.open_dispute(
        payment=payment, amount=payment.amount, fee=Decimal("15.00"), why="The payer says it came back scratched.",
        answer_by=bench.at(24).date(), key="bulk-dispute", by=bench.owner, at=bench.at(14),
    )  # fmt: skip
    return tidy(order)


def dispute_won(bench: Bench) -> Order:
    order = dispute_open(bench)
    disputes.end_dispute(
        dispute=order.payments.get().disputes.get(), won=True, by=bench.owner, at=bench.at(30)
    )
    return tidy(order)


def dispute_lost(bench: Bench) -> Order:
    order = dispute_open(bench)
    disputes.end_dispute(
        dispute=order.payments.get().disputes.get(), won=False, by=bench.owner, at=bench.at(30)
    )
    payments.write_off(
        order=order, amount=billing.balance(order), key="bulk-lost", by=bench.owner, at=bench.at(30, 16), why="Lost."
    )  # fmt: skip
    cost(bench, order, "Phone calls of a dispute", "15.00", day=30)
    return tidy(order)


def trade_unpaid(bench: Bench) -> Order:
    """A customer of the trade: goods before money."""
    order = bench.request()
    assert order.customer is not None
    trade_accounts.set_terms(
        customer=order.customer, given=TermsGiven(payment_days=30), by=bench.owner, at=bench.at(1)
    )
    steps.receive(order, by=bench.technician, at=bench.at(2, 14.5))
    bench.tested(bench.repaired(bench.agreed(bench.quoted(bench.looked(order)))))
    return bench.home(bench.sent(order))


def trade_paid(bench: Bench) -> Order:
    return tidy(bench.paid(trade_unpaid(bench), day=18, kind="transfer"))


def let_go(bench: Bench) -> Order:
    order = bench.tested()
    out.let_go_unpaid(order=order, reason="Pays on Monday, known to us.", by=bench.owner, at=bench.at(6, 15))
    return bench.home(bench.sent(order))


def let_go_paid(bench: Bench) -> Order:
    return tidy(bench.paid(let_go(bench), day=12, kind="transfer"))
