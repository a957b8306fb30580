"""The demonstration's world, made through the real actions: money and minutes as its invented table says."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.conf import LazySettings
from django.core.exceptions import ImproperlyConfigured
from django.db.models import Sum

from intake import history
from intake.models import Order
from quotes import billing
from quotes.models import Part
from shop.demo import world

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
        assert (part.number, part.on_hand, part.reserved) == (part.number, sums["hand"], sums["aside"])
    assert Order.objects.count() >= 40
    assert not Order.objects.filter(created_at__gt=AS_OF).exists()
    assert history.verify() is None


def test_world_is_refused_outside_the_demonstration(db: None, settings: LazySettings) -> None:
    settings.DEMO = False
    with pytest.raises(ImproperlyConfigured):
        world.build(as_of=AS_OF)
