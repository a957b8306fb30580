"""A trade customer's batch in the demonstration. All invented."""

from decimal import Decimal

from intake.lifecycle import staff
from intake.models import Order
from quotes import lots, stock, trade_accounts
from quotes.models import Lot, Part
from quotes.trade_accounts import TermsGiven
from shop.bench import repair
from shop.bench.spoiling import BAD_ON_ARRIVAL
from shop.demo import cast, price_book, steps
from shop.demo.good_shelf import said
from shop.demo.stage import World, cost, request, talk
from shop.stockroom import lots as stock_lots

CHIP = "CHG-L22"


def stallmere(world: World) -> list[Order]:
    """A trade customer's four boards: three mended, one burnt; paid by the month."""
    boards = [request(world, answers, at=world.ago(11)) for answers in cast.STALLMERE]
    terms = TermsGiven(
        tier=price_book.tier(price_book.BATCH_TIER), certificate="Resale ZZ-2041", payment_days=30
    )
    trade_accounts.set_terms(customer=boards[0].customer, given=terms, by=world.owner, at=world.ago(11))
    lot = stock_lots.receive_lot(
        part=Part.objects.get(number=CHIP), quantity=8, unit_cost=Decimal("1.45"), supplier="Tin Street Parts",
        marks="2547 K", note="", key=f"demo-lot-{CHIP}", by=world.owner, at=world.ago(10),
    )  # fmt: skip
    looks, repairs, tests = (22, 21, 21, 21), (42, 42, 42, 0), (14, 13, 13, 0)
    for number, order in enumerate(boards):
        order.customer.refresh_from_db()
        steps.receive(
            order, by=world.packer, at=world.ago(8.2, -0.1 * number), cell_state="none", weight_grams=40
        )
        if number == 3:
            _burnt(world, order, looks[3])
            continue
        _mended(world, order, number, (looks[number], repairs[number], tests[number]))
    _sampled(world, lot)
    cost(world, boards[0], "Two fake chips written off", "19.00", at=world.ago(6.5))
    talk(world, boards[0], 18, at=world.ago(4))
    return boards


def _sampled(world: World, lot: Lot) -> None:
    """A sample of the lot is measured: two are fakes; they go, and no more of the lot is fitted."""
    stock.count(
        part=lot.part, lot=lot, counted=lots.pieces_of(lot) - 2, key="demo-fake-chips", by=staff(world.owner),
        at=world.ago(6.5), why="two of the lot are fakes, found by sample test",
    )  # fmt: skip
    words = "2 of 4 measured read open"
    stock_lots.stop_lot(lot=lot, reason="sample", words=words, by=world.owner, at=world.ago(4.5))


def _mended(world: World, order: Order, number: int, minutes: tuple[int, int, int]) -> None:
    look, mend, test = minutes
    steps.find(
        order, by=world.owner, at=world.ago(7 - 0.1 * number), minutes=look, fault_class="charge chip",
        reading=said(order, "Charger in r 25"), words="Charge chip dead.",
    )  # fmt: skip
    lines = [
        {"kind": "labour", "text": "Charge chip replaced, trade price", "minutes": 42, "quantity": "1", "price": "70.00"},
        {"kind": "part", "part": Part.objects.get(number=CHIP).pk, "quantity": "1", "tax": "0"},
        {"kind": "post", "text": "Return post, the batch", "quantity": "1", "price": "0" if number else "18.00"},
    ]  # fmt: skip
    steps.quote(order, by=world.owner, at=world.ago(6.8 - 0.1 * number), lines=lines)
    steps.answer(order, at=world.ago(6), name="Stallmere Phones")
    if number == 2:
        _fake_fitted(world, order)
    steps.mend(order, by=world.owner, at=world.ago(5 - 0.1 * number), minutes=mend)
    after = said(order, "Charger in r 7600", after=True)
    steps.test_and_pass(order, by=world.owner, at=world.ago(4.4 - 0.1 * number), reading=after, minutes=test)
    steps.send(order, by=world.packer, at=world.ago(4), cost="0" if number else "14.20", weight=40)


def _fake_fitted(world: World, order: Order) -> None:
    """One chip of the lot went on, did not wake, and came off again."""
    chip = Part.objects.get(number=CHIP)
    why = f"{BAD_ON_ARRIVAL}: it does not wake"
    steps.fit(order, chip, 1, by=world.owner, at=world.ago(5.2), spoiled=True, why=why)


def _burnt(world: World, order: Order, look: int) -> None:
    steps.find(
        order, by=world.owner, at=world.ago(6.6), minutes=look, fault_class="burnt board",
        reading=said(order, "Main rail r 0.05"), words="An inner layer is burnt through. We can try to bridge it.",
    )  # fmt: skip
    lines = [
        {"kind": "labour", "text": "Inner layer bridged", "minutes": 60, "quantity": "1", "price": "70.00"},
        {"kind": "post", "text": "Return post, the batch", "quantity": "1", "price": "0"},
    ]  # fmt: skip
    steps.quote(order, by=world.owner, at=world.ago(6.5), lines=lines)
    steps.answer(order, at=world.ago(6), name="Stallmere Phones")
    repair.no_fix(
        order=order, seen_version=order.version, by=world.owner, at=world.ago(4.9),
        words="The burn runs on under the next layer. A bridge would not hold.",
    )  # fmt: skip
    order.refresh_from_db()
    steps.send(order, by=world.packer, at=world.ago(4), cost="0", weight=40)
