"""The whole demonstration: shop, twelve orders that show every branch, some thirty more, and its letters."""

import datetime as dt

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured

from intake.models import Letter, LetterTry, Order
from intake.stations import Station
from shop import clock
from shop.demo import (
    bank,
    bench_now,
    crowd,
    good_shelf,
    mended,
    money_bills,
    money_quotes,
    open_hours,
    price_book,
    trade,
    unmended,
)
from shop.demo.base import set_up_shop
from shop.demo.stage import World

FRESH = dt.timedelta(hours=36)


def build(*, as_of: dt.datetime) -> dict[str, Order]:
    """Make the world as it would stand at `as_of`; returns the named orders.

    Refuses outside a demonstration: its people and passwords are printed in the open.
    """
    if not settings.DEMO:
        raise ImproperlyConfigured("The demonstration's world is only made with BENCHPOST_DEMO=on.")
    owner, packer = set_up_shop(at=as_of - dt.timedelta(days=90))
    world = World(owner, packer, as_of)
    open_hours.say(world)
    price_book.fill(world)
    good_shelf.fill(world)
    hollis = unmended.hollis(world)
    first, *others = crowd.build(world)
    named = {
        "hollis": hollis,
        "ines": mended.ines(world),
        "petra": unmended.petra(world),
        "mara": mended.mara(world),
        "garrick": mended.garrick(world),
        "lenka": unmended.lenka(world),
        "dov": mended.dov(world),
        "tobin": mended.tobin(world),
        "stallmere": trade.stallmere(world)[0],
        "osei": unmended.osei(world),
        "wendeline": mended.wendeline(world, first),
        "yusra": unmended.yusra(world),
        **money_quotes.build(world),
        **money_bills.build(world),
    }
    named |= _further_money(world, others, named["garrick"])
    for days in range(55, 0, -1):
        clock.tick(at=world.ago(days))
    bank.taken_in(world, named)
    money_bills.months_are_over(world)
    named |= bench_now.build(world)
    _past_letters_have_gone(as_of)
    return named


def _further_money(world: World, others: list[Order], garrick: Order) -> dict[str, Order]:
    """What came of some bills after they were paid; the orders by what they show."""
    short = next(order for order in others if order.write_offs.exists())
    paid = [order for order in others if order.station == Station.HOME and order != short]
    credited, twice = [order for order in paid if order.invoices.filter(lines__kind="part").exists()][-2:]
    money_bills.credited_in_part(world, credited, at=world.ago(7.4))
    money_bills.paid_twice(world, twice, at=world.ago(4.6))
    money_bills.taken_back(world, garrick, at=world.ago(5))
    return {"given_up": short, "credited": credited, "paid_twice": twice}


def _past_letters_have_gone(as_of: dt.datetime) -> None:
    """Letters of past weeks went at the time; only fresh ones are left to the drainer."""
    old = Letter.objects.filter(state=Letter.State.PENDING, created_at__lt=as_of - FRESH)
    LetterTry.objects.bulk_create(
        LetterTry(
            letter=letter,
            number=1,
            started_at=letter.created_at,
            ended_at=letter.created_at,
            result=LetterTry.Result.ACCEPTED,
            answer="accepted",
        )
        for letter in old
    )
    for letter in old:
        Letter.objects.filter(pk=letter.pk).update(state="sent", sent_at=letter.created_at, tries=1)
