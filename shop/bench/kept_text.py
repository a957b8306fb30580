"""What is written at a station before it is signed: kept on the server as it is typed, by whoever types last."""

import datetime as dt
from collections.abc import Mapping

from intake.history import in_turn
from intake.lifecycle import SheetMoved
from intake.models import Order, Person
from intake.stations import Station
from shop.models import StationDraft

LONGEST = 20_000


@in_turn
def keep(*, order: Order, station: Station, fields: Mapping[str, str], by: Person, at: dt.datetime) -> None:
    """Keep the fields of a station's form. Raises SheetMoved when the order has left that station."""
    if not Order.objects.filter(pk=order.pk, station=station).exists():
        raise SheetMoved("This station was signed meanwhile. Here is how the sheet stands now.")
    StationDraft.objects.update_or_create(
        order=order,
        station=int(station),
        defaults={
            "fields": {name: value.replace("\x00", "")[:LONGEST] for name, value in fields.items()},
            "by": by,
            "changed_at": at,
        },
    )


def kept(order: Order, station: Station) -> StationDraft | None:
    return StationDraft.objects.filter(order=order, station=int(station)).first()


@in_turn
def drop(*, order: Order, station: Station) -> None:
    """Forget what was kept: it stands signed on the sheet now."""
    StationDraft.objects.filter(order=order, station=int(station)).delete()
