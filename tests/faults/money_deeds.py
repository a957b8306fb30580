"""Money deeds for the children of the nursery: bill, take, credit and pay back without end, until something kills them."""

import os
import signal
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from decimal import Decimal
from pathlib import Path
from typing import Any
from unittest import mock

from intake import history
from intake.models import Order, Person
from intake.stations import Station
from quotes import billing, decisions, payments
from quotes.models import Entry, Invoice, NumberSeries, Payment
from quotes.proof import prove
from shop.demo.steps import lines_of
from tests import walk
from tests.faults.deeds import AT, _away, _person, _refused, _request


def ready_agreed(*, count: int) -> list[int]:
    """Orders at the repair, with an agreed quote."""
    by, found = _person("technician"), []
    for _ in range(count):
        order = walk.to(_request(), Station.QUOTE, by=by, at=AT)
        quote = walk.quote(order, by=by, at=AT, lines=lines_of(["Fit jumper wire"], []))
        answer = decisions.Answer(choice="mend", typed_name="Mara Ellwick", digest=quote.digest, button="Yes")
        decisions.decide(quote=quote, answer=answer, at=AT)
        _away(order)
        found.append(order.pk)
    return found


def next_step(order: Order, by: Person) -> str:
    """What an order's money asks for next. Keys follow from the rows that are there, so that a step left half done
    before a kill is the very same step after it."""
    owed = billing.balance(order)
    if owed > 0:
        payments.record_payment(
            order=order, kind="card", amount=owed, key=_key(order), by=by, at=AT, fee=owed / 50
        )
        return "paid"
    if owed < 0:
        payments.refund(
            order=order, kind="transfer", amount=-owed, key=_key(order), by=by, at=AT, note="back"
        )
        return "refunded"
    last = order.invoices.order_by("-id").first()
    if last is None:
        quote = decisions.agreed_quote(order)
        assert quote is not None
        billing.bill_agreed(order=order, quote=quote, by=by, at=AT)
        return "billed"
    if last.kind == Invoice.Kind.INVOICE:
        billing.credit(invoice=last, why="once more from the start", by=by, at=AT)
        return "credited"
    if order.payments.filter(purpose="loss").count() < order.invoices.filter(kind="credit").count():
        payments.make_good(
            order=order, kind="cash", amount=Decimal(3), key=_key(order), why="once a round", by=by, at=AT
        )
        return "made good"
    billing.bill_again(order=order, by=by, at=AT)
    return "billed again"


def _key(order: Order) -> str:
    return f"kill:{order.pk}:{order.payments.count()}"


def money_without_end(*, orders: list[int], steps: int = 1_000_000, mark: str = "") -> list[str]:
    """Step after step, round the orders; each step done is a byte more in the file `mark`."""
    by, done = _person("owner"), []
    for step in range(steps):
        order = Order.objects.get(pk=orders[step % len(orders)])
        done.append(next_step(order, by))
        if mark:
            with Path(mark).open("a") as file:
                file.write(".")
    return done


def _die(*_: Any, **__: Any) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


@contextmanager
def _dying(point: str) -> Iterator[None]:
    """Death waits where the name says, inside the transaction."""
    after = {
        "after the number": (NumberSeries.objects, "filter"),
        "at the invoice": (Invoice.objects, "create"),
        "at the entry": (Entry.objects, "create"),
        "at the payment": (Payment.objects, "create"),
        "at the history": (history, "record"),
    }
    with ExitStack() as stack:
        stack.enter_context(mock.patch.object(*after[point], _die))
        yield


def money_and_die(*, orders: list[int], point: str) -> None:
    with _dying(point):
        money_without_end(orders=orders, steps=8)


def money_now() -> dict[str, Any]:
    """What an accountant asks after the plug was pulled."""
    numbers: dict[str, list[int]] = {}
    for kind, prefix in (("invoice", "INV-"), ("credit", "CRN-")):
        rows = Invoice.objects.filter(kind=kind).values_list("number", flat=True)
        numbers[kind] = sorted(int(number.removeprefix(prefix)) for number in rows)
    numbers["entry"] = sorted(Entry.objects.values_list("number", flat=True))
    return {
        "faults": prove(),
        "chain": history.verify(),
        "numbers": numbers,
        "next": dict(NumberSeries.objects.values_list("kind", "next")),
        "payments": Payment.objects.count(),
    }


# Races: sixteen clients at once, each with an order of its own, or all with the same one.


def own_step(orders: list[int], number: int) -> str:
    """The next step of the racer's own order."""
    return next_step(Order.objects.get(pk=orders[number]), _person("owner"))


def bill_same(order_pk: int, _number: int) -> str:
    """Everybody bills the same order: one invoice, and all are handed it."""
    order = Order.objects.get(pk=order_pk)
    quote = decisions.agreed_quote(order)
    assert quote is not None
    invoice = billing.bill_agreed(order=order, quote=quote, by=_person("owner"), at=AT)
    return invoice.number if invoice else ""


def credit_same(order_pk: int, _number: int) -> str:
    """Everybody credits the same invoice whole: one credit note."""
    invoice = Invoice.objects.filter(order_id=order_pk, kind=Invoice.Kind.INVOICE).latest("id")
    return _refused(lambda: billing.credit(invoice=invoice, why="raced", by=_person("owner"), at=AT))


def bill_same_again(order_pk: int, _number: int) -> str:
    """Everybody bills the same order anew: one invoice."""
    order = Order.objects.get(pk=order_pk)
    return _refused(lambda: billing.bill_again(order=order, by=_person("owner"), at=AT))


def refund_same(order_pk: int, number: int) -> str:
    """Everybody pays the same excess back, each from a form of their own: it goes back once."""
    order = Order.objects.get(pk=order_pk)
    return _refused(
        lambda: payments.refund(
            order=order, kind="card", amount=Decimal(5), key=f"raced:{order_pk}:{number}", by=_person("owner"),
            at=AT, note="raced",
        )
    )  # fmt: skip


def pay_too_much(*, pk: int) -> str:
    """All that is owed and 5.00 more."""
    order = Order.objects.get(pk=pk)
    amount = billing.balance(order) + 5
    payments.record_payment(
        order=order, kind="card", amount=amount, key=f"much:{pk}", by=_person("owner"), at=AT
    )
    return str(billing.balance(order))
