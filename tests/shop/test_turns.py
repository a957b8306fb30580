"""Two who press at once, PostgreSQL only: nobody blocks another for good, and a double press is one deed."""

import threading
from collections.abc import Callable, Iterator
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.db import connection, connections

from intake import drain, lifecycle
from intake.lifecycle import SheetMoved
from intake.models import Order
from intake.refusals import Refused
from intake.stations import Station
from quotes import billing, lots, offers, payments, stock
from quotes.drafts import draft_of, save_draft
from quotes.models import Part, Payment, Quote
from shop.bench import repair, work
from shop.demo.steps import lines_of
from shop.models import WorkSession
from tests import walk

pytestmark = pytest.mark.django_db(transaction=True)
ROUNDS = 4


@pytest.fixture(autouse=True)
def _on_postgresql(db: None) -> Iterator[None]:
    if connection.vendor != "postgresql":
        pytest.skip("needs PostgreSQL")
    yield


def at_once(*deeds: Callable[[], object]) -> list[object]:
    """What each deed returned or raised, all begun in the same moment."""
    start, told = threading.Barrier(len(deeds)), [None] * len(deeds)

    def run(place: int, deed: Callable[[], object]) -> None:
        try:
            start.wait(timeout=20)
            told[place] = deed()
        except Exception as fault:
            told[place] = fault
        finally:
            connections.close_all()

    people = [threading.Thread(target=run, args=pair) for pair in enumerate(deeds)]
    for person in people:
        person.start()
    for person in people:
        person.join(timeout=60)
    return told


@pytest.mark.parametrize("round_number", range(ROUNDS))
def test_a_double_press_pays_once(bench: SimpleNamespace, round_number: int) -> None:
    at = drain.now()
    order = walk.to(walk.request(at=at), Station.GOODS_OUT, by=bench.technician, at=at)

    def pay() -> int:
        given = {"kind": "card", "amount": Decimal("10.00"), "key": "pressed-twice"}
        return payments.record_payment(order=order, by=bench.technician, at=at, **given).pk

    first, second = at_once(pay, pay)
    assert first == second == Payment.objects.get().pk


@pytest.mark.parametrize("round_number", range(ROUNDS))
def test_a_double_press_sends_one_quote(bench: SimpleNamespace, round_number: int) -> None:
    at, by = drain.now(), bench.technician
    order = walk.to(walk.request(at=at), Station.QUOTE, by=by, at=at)
    draft = draft_of(order, at=at)
    draft = save_draft(
        draft=draft, lines=lines_of(["Fit jumper wire"], []), words="", promise=draft.promise, at=at
    )

    def send() -> object:
        mine = Order.objects.get(pk=order.pk)
        return offers.send(order=mine, seen_version=order.version, seen_draft=draft.version, by=by, at=at).pk

    told = at_once(send, send)
    assert Quote.objects.count() == 1
    assert all(isinstance(one, int | SheetMoved) for one in told), told


@pytest.mark.parametrize("round_number", range(ROUNDS))
def test_a_yes_and_a_taken_part_do_not_block_each_other(bench: SimpleNamespace, round_number: int) -> None:
    at, by = drain.now(), bench.technician
    mended = walk.to(walk.request(at=at), Station.REPAIR, by=by, at=at)
    asked = walk.to(walk.request(at=at, name="Other Person"), Station.GO_AHEAD, by=by, at=at)
    part = Part.objects.get(number="WIRE-002")

    def take() -> object:
        return repair.use_part(
            order=mended, part=part, quantity=1, key=f"t{threading.get_ident()}", by=by, at=at
        )

    told = at_once(*[take] * 3, lambda: walk.answer(asked, at=at))
    assert not [one for one in told if isinstance(one, Exception)]
    part.refresh_from_db()
    assert part.reserved == sum(stock.set_aside(order).get(part.pk, 0) for order in (mended, asked))


@pytest.mark.parametrize("round_number", range(ROUNDS))
def test_of_two_who_take_the_last_piece_of_a_lot_one_gets_it(
    bench: SimpleNamespace, round_number: int
) -> None:
    at, by = drain.now(), bench.technician
    orders = [walk.to(walk.request(at=at), Station.REPAIR, by=by, at=at) for _ in range(2)]
    part = Part.objects.get(number="CHG-S2")
    lot = lots.open_lot(part=part, supplier="Tin Street", marks="", by=by, at=at)
    stock.receive(
        part=part, quantity=1, unit_cost=Decimal(1), key="in", lot=lot, by=lifecycle.staff(by), at=at
    )

    def take(order: Order) -> object:
        return repair.use_part(
            order=order, part=part, quantity=1, lot=lot, key=f"t{order.pk}", by=by, at=at
        ).pk

    told = at_once(*[lambda order=order: take(order) for order in orders])
    refused = [one for one in told if isinstance(one, Refused)]
    assert len(refused) == 1 and "holds 0; 1 wanted" in refused[0].sentence, told
    assert lots.pieces_of(lot) == 0


@pytest.mark.parametrize("round_number", range(ROUNDS))
def test_a_signed_test_and_a_credit_note_do_not_block_each_other(
    bench: SimpleNamespace, round_number: int
) -> None:
    at, by = drain.now(), bench.technician
    billed = walk.to(walk.request(at=at), Station.GOODS_OUT, by=by, at=at)
    tested = walk.to(walk.request(at=at), Station.TEST, by=by, at=at)
    invoice = billed.invoices.get()
    told = at_once(
        lambda: billing.credit(invoice=invoice, why="Too much", by=by, at=at),
        lambda: walk.test_and_pass(tested, by=by, at=at),
    )
    assert not [one for one in told if isinstance(one, Exception)]


def test_a_double_press_starts_the_minutes_once(bench: SimpleNamespace) -> None:
    at, by = drain.now(), bench.technician
    order = walk.to(walk.request(at=at), Station.REPAIR, by=by, at=at)
    told = at_once(*[lambda: work.start(order=order, kind="repair", by=by, at=at).pk] * 4)
    assert set(told) == {WorkSession.objects.get(ended_at__isnull=True).pk}
