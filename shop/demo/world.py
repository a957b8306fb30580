"""The whole demonstration: shop, twelve orders that show every branch, some thirty more, and its letters."""

import datetime as dt

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured

from intake.models import Letter, Letterhead, LetterTry, Order
from quotes.cards.offline import OfflineProvider
from shop import clock
from shop.demo import bank, crowd, mended, trade, unmended
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
    Letterhead.objects.filter(card_provider="").update(card_provider=OfflineProvider.name, changed_by=owner)
    world = World(owner, packer, as_of)
    hollis = unmended.hollis(world)
    first, *_ = crowd.build(world)
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
    }
    for days in range(55, 0, -1):
        clock.tick(at=world.ago(days))
    bank.statement(world, at=as_of)
    _past_letters_have_gone(as_of)
    return named


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
