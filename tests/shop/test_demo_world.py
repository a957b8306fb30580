"""The demonstration's world, made through the real actions: money and minutes as its invented table says."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.conf import LazySettings
from django.core.exceptions import ImproperlyConfigured
from django.db.models import Sum

from intake import history
from intake.models import Order
from intake.stations import Station
from quotes import billing, decisions, deposits, known_good, proof
from quotes.bank import importing
from quotes.bank.matching import Line, propose
from quotes.bank.open_bills import open_bills
from quotes.models import Closing, Entry, Part, Statement
from quotes.owed import in_dispute
from quotes.receivables import bills_left
from shop.demo import bank, good_shelf, stage, world
from shop.demo.base import set_up_shop

AS_OF = datetime(2026, 2, 27, 18, 0, tzinfo=UTC)
# Invented demo world: billed, paid, minutes (all kinds together) of the named orders.
TABLE = {
    "mara": ("112.32", "112.32", 87),
    "tobin": ("129.16", "129.16", 59),
    "ines": ("385.44", "385.44", 250),
    "dov": ("241.72", "241.72", 197),
    "lenka": ("12.00", "12.00", 137),
    "petra": ("12.00", "12.00", 62),
    "osei": ("0", "0", 41),
    "hollis": ("0", "0", 45),
    "yusra": ("0", "0", 38),
    "garrick": ("128.48", "128.48", 112),
    "wendeline": ("0", "0", 65),
}


def _sums(order: Order) -> tuple[Decimal, Decimal, int]:
    billed = order.invoices.aggregate(sum=Sum("total"))["sum"] or Decimal(0)
    paid = order.payments.aggregate(sum=Sum("amount"))["sum"] or Decimal(0)
    return billed, paid, order.work.aggregate(sum=Sum("minutes"))["sum"] or 0


def test_world_money_stock_and_chain_are_true(db: None, settings: LazySettings) -> None:
    settings.DEMO = True
    named = world.build(as_of=AS_OF)
    for name, (billed, paid, minutes) in TABLE.items():
        assert (name, *_sums(named[name])) == (name, Decimal(billed), Decimal(paid), minutes)
    batch = Order.objects.filter(customer__name="Stallmere Phones")
    assert sum(_sums(order)[0] for order in batch) == Decimal("243.00")
    assert sum(billing.balance(order) for order in batch) == Decimal("243.00")
    assert sum(_sums(order)[2] for order in batch) == 85 + 126 + 40 + 18
    for part in Part.objects.all():
        sums = part.moves.aggregate(hand=Sum("on_hand_change"), aside=Sum("reserved_change"))
        assert (part.number, part.on_hand, part.reserved) == (
            part.number,
            sums["hand"] or 0,
            sums["aside"] or 0,
        )
    assert Order.objects.count() >= 40
    assert not Order.objects.filter(created_at__gt=AS_OF).exists()
    assert history.verify() is None
    assert proof.prove() == []
    _shows_the_money(named)
    _files_of_the_bank_fit()


def _shows_the_money(named: dict[str, Order]) -> None:
    ways = named["orla"].quotes.get().shown
    assert [row["choice"] for row in ways["choices"]] == ["mend", "data", "clean", "back", "recycle"]
    assert [row["choices"] for row in ways["extras"]] == [["mend"]]
    first, second = named["corin"].quotes.order_by("revision")
    assert {row["kind"] for row in second.shown["changes"]} == {"same", "added", "changed", "gone"}
    assert sum(Decimal(row["change"]) for row in second.shown["changes"]) == second.total - first.total
    waits, came = named["belle"], named["jory"]
    assert (deposits.wanted(waits), billing.deposit_held(waits)) == (40, 0)
    assert (deposits.wanted(came), billing.deposit_held(came)) == (0, 40)
    assert {waits.station, came.station} == {Station.REPAIR}
    assert decisions.agreed_quote(named["nell"]) != decisions.open_quote(named["nell"]) is not None
    owed = {name: billing.balance(named[name]) for name in ("credited", "paid_twice", "given_up", "garrick")}
    assert owed["credited"] == owed["given_up"] == 0 and owed["paid_twice"] < 0
    assert owed["garrick"] == in_dispute(named["garrick"]) == Decimal("128.48")
    late = {bill.days_late(AS_OF.date()) > 0: bill for bill in bills_left(currency="USD") if bill.left > 0}
    assert set(late) == {True, False}
    sent = Statement.objects.order_by("pk").values_list("month", "total")
    assert list(sent) == [(date(2025, 12, 1), Decimal("154.20")), (date(2026, 1, 1), Decimal("216.50"))]
    assert Closing.objects.get().upto == date(2026, 1, 31)


def _files_of_the_bank_fit() -> None:
    """What the demonstration gives away to be taken in can be read whole, and most of it finds its bill."""
    bills = open_bills("USD")
    for data in bank.draw(at=AS_OF).values():
        found = importing.look(data=data)
        came = [row for row in found.new if row.amount > 0]
        sure = [row for row in came if propose(Line(row.amount, row.name, row.reference, row.text), bills)]
        assert len(found.new) >= 4 and len(sure) >= len(came) - 1


@pytest.mark.parametrize("moment", ["2026-03-01T02:00", "2024-02-29T12:00", "2025-11-02T07:30"])
def test_world_can_be_made_on_any_day(db: None, settings: LazySettings, moment: str) -> None:
    """The first of a month that is the last in the shop's zone, 29 February, and the hour in which its clocks go back."""
    settings.DEMO = True
    at = datetime.fromisoformat(moment).replace(tzinfo=UTC)
    named = world.build(as_of=at)
    assert proof.prove() == []
    assert Statement.objects.filter(month__month=Closing.objects.get().upto.month).exists()
    assert not Entry.objects.filter(at__gt=at).exists()
    assert billing.balance(named["mara"]) == 0 and sum(_sums(named["ines"])[:2]) == 2 * Decimal("385.44")


def test_world_is_refused_outside_the_demonstration(db: None, settings: LazySettings) -> None:
    settings.DEMO = False
    with pytest.raises(ImproperlyConfigured):
        world.build(as_of=AS_OF)


def test_world_has_a_shelf_of_good_boards_that_judges(db: None, settings: LazySettings) -> None:
    settings.DEMO = True
    owner, packer = set_up_shop(at=AS_OF)
    good_shelf.fill(stage.World(owner, packer, AS_OF))
    judged = [
        known_good.judge(
            board=good_shelf.BOARD, revision="", point="microphone bias", state="", mode="diode",
            polarity="red on ground", meter=meter, value=Decimal(value), special="",
        )
        for meter, value in (("Blue", "0.452"), ("Red", "0.456"), ("Red", "0.44"))
    ]  # fmt: skip
    assert [(one.word, one.n) for one in judged] == [("ok", 7), ("ok", 7), ("low", 7)]
