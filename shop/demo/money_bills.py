"""What becomes of bills in the demonstration: late, part credited, paid twice, given up, disputed, by the month. All invented."""

import datetime as dt
import zoneinfo
from decimal import Decimal

from intake.models import Customer, Letterhead, Order
from quotes import billing, closing, disputes, payments, statements, trade_accounts
from quotes.models import Invoice
from quotes.statement_maths import month_before, month_end, month_start, next_month
from quotes.trade_accounts import TermsGiven
from shop.demo import cast, price_book, steps
from shop.demo.good_shelf import said
from shop.demo.stage import World, request

IVO = cast.person(
    "Ivo Sandlake", 66, make="Zarnik", model="Z7", symptoms=["No picture"], idea="The screen",
    words="Black since Monday.",
)  # fmt: skip
HARBOUR = [
    cast.person(
        "Harbour Lane Repairs", 70, kind="board", make=make, model=model, serial=f"HL-{number}", words="Board only.",
        symptoms=["Does not start"], in_the_box=["Board"], declared_value=Decimal("80.00"), data_wish="no",
    )
    for number, (make, model) in enumerate([("Plenthor", "Note 5"), ("Oblivu", "One"), ("Zarnik", "Z7")], start=1)
]  # fmt: skip
# Remedy and part of each of its boards, and days since it was billed; the third is of the middle of last month.
WORK = (
    ("Replace power chip", "PWR-M1"),
    ("Replace shorted capacitor", "RES-KIT"),
    ("Replace burnt filter", "FILT-3"),
)
LATE, RECENT, MID_MONTH = 74.0, 6.0, 12


def build(world: World) -> dict[str, Order]:
    """The late consumer, and the oldest bill of the trade."""
    boards = harbour(world)
    return {"ivo": ivo(world), "harbour": boards[0]}


def ivo(world: World) -> Order:
    """Mended weeks ago; not paid, so it waits at goods out and the bill is late."""
    order = request(world, IVO, at=world.ago(35))
    _mended(world, order, world.ago(26.4), remedy="Replace burnt filter", part="FILT-3")
    return order


def harbour(world: World) -> list[Order]:
    """Another bench: prices of its tier, a resale certificate, goods before money, one bill late by two months."""
    moments = [world.ago(LATE), world.ago(RECENT), _last_month(world)]
    orders = []
    for answers, billed, (remedy, part) in zip(HARBOUR, moments, WORK, strict=True):
        order = request(world, answers, at=billed - dt.timedelta(days=8))
        if not orders:
            _terms(world, order, at=billed - dt.timedelta(days=8))
        order.customer.refresh_from_db()
        _mended(world, order, billed, remedy=remedy, part=part)
        steps.send(order, by=world.packer, at=billed + dt.timedelta(hours=20), cost="4.10", weight=40)
        orders.append(order)
    return orders


def _terms(world: World, order: Order, *, at: dt.datetime) -> None:
    given = TermsGiven(
        tier=price_book.tier(price_book.BENCH_TIER), tax_number="00-0000470", certificate="Resale ZZ-4471",
        certificate_until=dt.date(world.as_of.year + 4, 12, 31),
    )  # fmt: skip
    trade_accounts.set_terms(customer=order.customer, given=given, by=world.owner, at=at)


def _mended(world: World, order: Order, billed: dt.datetime, *, remedy: str, part: str) -> None:
    """Everything up to the signed test and the bill at `billed`."""

    def before(days: float) -> dt.datetime:
        return billed - dt.timedelta(days=days)

    steps.receive(order, by=world.packer, at=before(5.2))
    steps.find(
        order, by=world.owner, at=before(4.3), minutes=16, fault_class="shorted line", idea_answer="not" if order.idea else "none",
        reading=said(order, "Main rail r 2"), words="One line of the supply is shorted to ground.",
    )  # fmt: skip
    steps.quote(order, by=world.owner, at=before(4.2), remedy=remedy, parts=(part,))
    steps.answer(order, at=before(2.9))
    steps.mend(order, by=world.owner, at=before(0.6), minutes=34)
    after = said(order, "Main rail r 1200", after=True)
    steps.test_and_pass(order, by=world.owner, at=billed, reading=after, minutes=12)


def credited_in_part(world: World, order: Order, *, at: dt.datetime) -> None:
    """The part turned out not to be needed: credited after it was paid, and paid back."""
    bill = _bill(order)
    line = bill.lines.get(kind="part")
    billing.credit(
        invoice=bill, why="The old part could be kept; it is not charged.", lines={line.number: line.quantity},
        by=world.owner, at=at, key=f"demo-credit-{order.pk}",
    )  # fmt: skip
    payments.refund(
        order=order, kind="card", amount=-billing.balance(order), key=f"demo-back-{order.pk}", by=world.owner,
        at=at + dt.timedelta(hours=1), note="The part that was credited.",
    )  # fmt: skip


def paid_twice(world: World, order: Order, *, at: dt.datetime) -> None:
    """By card, then once more by transfer: it is to be paid back."""
    total = _bill(order).total
    payments.record_payment(
        order=order, kind="transfer", amount=total, key=f"demo-twice-{order.pk}", by=world.owner, at=at,
        note="Sent although the card had gone through.",
    )  # fmt: skip


def rest_given_up(world: World, order: Order, *, rest: str, at: dt.datetime) -> None:
    """Paid short by what a bank kept; the owner lets the rest go."""
    owed = billing.balance(order)
    payments.record_payment(
        order=order, kind="transfer", amount=owed - Decimal(rest), key=f"demo-short-{order.pk}", by=world.owner,
        at=at, note="Came short.",
    )  # fmt: skip
    payments.write_off(
        order=order, amount=Decimal(rest), key=f"demo-gone-{order.pk}", by=world.owner, at=at + dt.timedelta(hours=1),
        why="The payer's bank kept a charge; not worth a letter.",
    )  # fmt: skip


def taken_back(world: World, order: Order, *, at: dt.datetime) -> None:
    """The payer's bank took the card payment back for now."""
    payment = order.payments.get(kind="card")
    disputes.open_dispute(
        payment=payment, amount=payment.amount, fee=Decimal("15.00"), why="The payer says the phone came back scratched.",
        answer_by=(world.as_of + dt.timedelta(days=9)).date(), key=f"demo-dispute-{order.pk}", by=world.owner, at=at,
    )  # fmt: skip


def months_are_over(world: World) -> None:
    """The trade gets its statements, then the owner closes last month. Nothing may be booked there after this."""
    trade = Customer.objects.filter(trade=True).order_by("pk")
    due = [(month, row) for row in trade for month in statements.months_of(row, at=world.as_of)]
    for month, customer in sorted(due, key=lambda pair: (pair[0], pair[1].pk)):
        at = _morning_after(world, month)
        statements.send_statement(customer=customer, month=month, by=world.owner, at=at)
    last = _month_before(world)
    at = _morning_after(world, last)
    closing.close(upto=month_end(last), by=world.owner, at=at + (world.as_of - at) / 4)


def _morning_after(world: World, month: dt.date) -> dt.datetime:
    """Nine o'clock of the first day after a month, or the moment of the world where that is earlier."""
    morning = dt.datetime.combine(next_month(month), dt.time(9), _zone()).astimezone(dt.UTC)
    return min(morning, world.as_of)


def _month_before(world: World) -> dt.date:
    return month_before(month_start(world.as_of.astimezone(_zone()).date()))


def _last_month(world: World) -> dt.datetime:
    """Noon of a day in the middle of last month, in the shop's zone."""
    return dt.datetime.combine(_month_before(world).replace(day=MID_MONTH), dt.time(12), _zone()).astimezone(
        dt.UTC
    )


def _zone() -> zoneinfo.ZoneInfo:
    return zoneinfo.ZoneInfo(Letterhead.current().zone)


def _bill(order: Order) -> Invoice:
    return order.invoices.get(kind="invoice")
